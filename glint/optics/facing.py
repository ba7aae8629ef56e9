"""Which polygons of a body can ever stand in the way of light to or from which others."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Facing, Polygons
from glint.optics.compile import kernel

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
def _lists(polygons, rise, solid):
    number = polygons.sides.shape[0]
    start = np.zeros(number + 1, np.int64)
    for counting in range(2):
        index = np.empty(start[number] if counting else 0, np.int64)
        for i in range(number):
            found = 0
            # Light only ever leaves from mirrors and openings, so panels need no list.
            if polygons.mirror[i] or i >= solid:
                for j in range(solid):
                    same = j != i and polygons.ball[j] == polygons.ball[i]
                    if same and _rise(polygons, i, j) > rise:
                        if counting:
                            index[start[i] + found] = j
                        found += 1
            if not counting:
                start[i + 1] = start[i] + found
    return start, index


def facing_lists(polygons: Polygons, solid: int | None = None) -> Facing:
    """The polygons of the same ball that rise in front of each tile; panels' lists are empty.

    solid: the first so many polygons are panels and tiles, the others openings: nothing is ever
    behind an opening, but much may be in front of it. All are solid if it is not given.
    """
    start, index = _lists(polygons, RISE, len(polygons.sides) if solid is None else solid)
    return Facing(start, index)


def none_facing(number: int) -> Facing:
    """The lists of a body known to be convex."""
    return Facing(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
