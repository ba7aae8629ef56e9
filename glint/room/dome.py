"""The dome: a spherical cap on an upright wall, and the floor."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from glint.room.geodesic_frame import Frame
from glint.room.room import Room
from glint.room.surface import Floats, Surface

__all__ = ["Room", "dome"]


def dome(
    radius: float,
    rise: float,
    wall: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
    frequency: int = 0,
    tube: float = 0.0,
    open_share: float = 0.0,
    seed: int = 7,
) -> Room:
    """A dome of a base radius and a rise (m) on an upright wall (m), and its floor at z = 0.

    fabric, floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx. frequency, tube
    (m): of the geodesic frame; frequency 0 for none. open_share: of its triangles without fabric.
    """
    sphere = (radius * radius + rise * rise) / (2.0 * rise)
    cap = Surface("dome", "cap", np.array([0, 0, wall + rise - sphere]), sphere, rise, fabric)
    frame = None
    if frequency:
        frame = Frame(frequency, tube, open_share, (sphere - rise) / sphere, seed)
        above = frame.centres[:, 2] > frame.lowest
        # A flat cap over large triangles has the middle of none above its rim: none is left off.
        cap = replace(cap, open=float(frame.bare[above].mean()) if above.any() else 0.0)
    surfaces = [cap]
    if wall > 0.0:
        surfaces.append(Surface("wall", "cylinder", np.zeros(3), radius, wall, fabric))
    surfaces.append(Surface("floor", "disc", np.zeros(3), radius, 0.0, floor))
    return Room(tuple(surfaces), np.full(3, ambient), frame)
