"""The bell tent: a cone on a low wall, with a pole in the middle, and the floor."""

from __future__ import annotations

import numpy as np

from glint.room.room import Room
from glint.room.surface import Floats, Surface


def bell(
    radius: float,
    rise: float,
    wall: float,
    pole: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
) -> Room:
    """A cone of a base radius and a rise (m) on an upright wall (m), and its floor at z = 0.

    pole: its diameter, m; 0 for none. fabric, floor: (3,) float, diffuse reflectance in linear
    RGB. ambient: lx.
    """
    tip = np.array([0.0, 0.0, wall + rise])
    surfaces = [Surface("roof", "cone", tip, radius, rise, fabric)]
    if wall > 0.0:
        surfaces.append(Surface("wall", "cylinder", np.zeros(3), radius, wall, fabric))
    surfaces.append(Surface("floor", "disc", np.zeros(3), radius, 0.0, floor))
    return Room(tuple(surfaces), np.full(3, ambient), pole=pole / 2.0)
