"""Where straight lines meet the room."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats, Integers
from glint.kernels.surfaces.ray_cast import cast_all
from glint.room.room import Room


class RayHits(NamedTuple):
    """Where lines meet the room.

    surface: (n,) int, number in Room.surfaces
    point: (n, 3) float, m; normal: (n, 3) float, unit, towards the room
    distance: (n,) float, m
    """

    surface: Integers
    point: Floats
    normal: Floats
    distance: Floats


def cast_rays(room: Room, start: Floats, direction: Floats) -> RayHits:
    """Where each line from inside the room meets it; a convex room is met somewhere by every one.

    start: (n, 3) float, m; direction: (n, 3) float, unit.
    """
    kinds = np.array([surface.kind for surface in room.surfaces], np.int64)
    forms = np.array([surface.form for surface in room.surfaces])
    start, direction = np.ascontiguousarray(start), np.ascontiguousarray(direction)
    surface, point, _ = cast_all(kinds, forms, start, direction)
    normal = np.zeros((len(start), 3))
    for index, one in enumerate(room.surfaces):
        mine = surface == index
        normal[mine] = one.normals(point[mine])
    distance = np.sum((point - start) * direction, axis=1)
    return RayHits(surface, point, normal, distance)
