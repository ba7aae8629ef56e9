"""Which polygons of a body can ever stand in the way of light to or from which others."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Facing, Flags, Polygons
from glint.optics.compile import kernel
from glint.optics.spheres import spheres_about

RISE = 1e-4
"""A polygon that rises less than this above another's plane is not in its way, m. A tenth of a
millimetre is finer than tiles are glued, and keeps the tiles of a sphere, whose corners overlook
each other by hundredths of a millimetre, out of each other's lists."""


@kernel
def _rise(polygons, i, j):
    """How far polygon j rises in front of the plane of polygon i, m."""
    highest = -1e300
    for c in range(polygons.sides[j]):
        height = 0.0
        for k in range(3):
            height += polygons.normals[i, k] * (
                polygons.corners[j, c, k] - polygons.corners[i, 0, k]
            )
        highest = max(highest, height)
    return highest


@kernel
def _lists(polygons, spheres, among, rise):
    """Twice through all pairs of a ball: first to count, then to list."""
    number = polygons.sides.shape[0]
    start = np.zeros(number + 1, np.int64)
    index = np.empty(0, np.int64)
    for listing in range(2):
        if listing:
            for i in range(number):
                start[i + 1] += start[i]
            index = np.empty(start[number], np.int64)
        for i in range(number):
            # Light only ever leaves from mirrors, so panels need no list.
            if not polygons.mirror[i]:
                continue
            found = 0
            ball = polygons.ball[i]
            for j in range(among[ball], among[ball + 1]):
                height = spheres[j, 3]
                for k in range(3):
                    height += polygons.normals[i, k] * (spheres[j, k] - polygons.corners[i, 0, k])
                if height > rise and j != i and _rise(polygons, i, j) > rise:
                    if listing:
                        index[start[i] + found] = j
                    found += 1
            if not listing:
                start[i + 1] = found
    return start, index


def facing_lists(polygons: Polygons, convex: Flags) -> Facing:
    """The polygons of the same ball that rise in front of each tile; panels' lists are empty.

    convex: (balls,) bool, those whose polygons are known not to; their lists are empty too.
    """
    spheres = spheres_about(polygons)
    open_ones = polygons._replace(mirror=polygons.mirror & ~convex[polygons.ball])
    start, index = _lists(open_ones, spheres.polygon, spheres.start, RISE)
    return Facing(start, index)


def none_facing(number: int) -> Facing:
    """The lists of a body known to be convex."""
    return Facing(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
