"""The hall: a box."""

from __future__ import annotations

import numpy as np

from glint.room.room import Room
from glint.room.surface import EAST, NORTH, Floats, Surface

UP = np.array([0.0, 0.0, 1.0])

WALLS = {"wall_east": EAST, "wall_north": NORTH, "wall_west": -EAST, "wall_south": -NORTH}
"""The walls and where each stands: +x is east, +y is north."""


def hall(
    length: float, width: float, height: float, fabric: Floats, floor: Floats, ambient: float
) -> Room:
    """A hall, length along x, width along y and height in metres, its floor at z = 0.

    fabric (walls and ceiling), floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx.
    """
    span = max(length, width)
    half = np.array([length / 2.0, width / 2.0, 0.0])
    ceiling = Surface(
        "ceiling", "flat", height * UP, half[0], width, fabric, 0.0, -EAST, NORTH, span
    )
    surfaces = [ceiling]
    for name, outward in WALLS.items():
        middle = outward * half + UP * height / 2.0
        across = np.cross(UP, -outward)
        long = float(np.abs(across) @ half)
        surfaces.append(Surface(name, "flat", middle, long, height, fabric, 0.0, across, UP, span))
    surfaces.append(
        Surface("floor", "flat", np.zeros(3), half[0], width, floor, 0.0, EAST, NORTH, span)
    )
    return Room(tuple(surfaces), np.full(3, ambient))
