"""Which polygons of a body can ever stand in the way of light to or from which others."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Facing, Flags, Polygons
from glint.optics.compile import kernel
from glint.optics.spheres import polygon_spheres

RISE = 1e-4
"""A polygon that rises less than this above another's plane is not in its way, m. A tenth of a
millimetre is finer than tiles are glued, and keeps the tiles of a sphere, whose corners overlook
each other by hundredths of a millimetre, out of each other's lists."""

MOST = 100_000_000
"""Polygons in all lists together: 0.8 GB."""


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
def _lists(polygons, spheres, sources, solid, rise, most):
    """Twice through all pairs of a ball: first to count, then to list; None for too many."""
    number = polygons.sides.shape[0]
    start = np.zeros(number + 1, np.int64)
    index = np.empty(0, np.int64)
    total = 0
    for listing in range(2):
        if listing:
            for i in range(number):
                start[i + 1] += start[i]
            index = np.empty(start[number], np.int64)
        for i in range(number):
            if not sources[i]:
                continue
            found = 0
            for j in range(solid):
                if polygons.ball[j] != polygons.ball[i] or j == i:
                    continue
                height = spheres[j, 3]
                for k in range(3):
                    height += polygons.normals[i, k] * (spheres[j, k] - polygons.corners[i, 0, k])
                if height > rise and _rise(polygons, i, j) > rise:
                    if listing:
                        index[start[i] + found] = j
                    found += 1
            if not listing:
                start[i + 1] = found
                total += found
                if total > most:
                    return None
    return start, index


def facing_lists(
    polygons: Polygons, convex: Flags | None = None, solid: int | None = None
) -> Facing:
    """The polygons of the same ball that rise in front of each tile or opening.

    Light only ever leaves from mirrors and openings, so the lists of panels are empty.
    convex: (balls,) bool, those whose polygons are known not to rise; their lists are empty too.
    solid: the first so many polygons are panels and tiles, the others openings: nothing is ever
    behind an opening, but much may be in front of it. All are solid if it is not given. Raises
    OverflowError where the lists would hold more than MOST polygons together.
    """
    number = len(polygons.sides)
    solid = number if solid is None else solid
    sources = polygons.mirror | (np.arange(number) >= solid)
    if convex is not None:
        sources &= ~convex[polygons.ball]
    found = _lists(polygons, polygon_spheres(polygons), sources, solid, RISE, MOST)
    if found is None:
        raise OverflowError(f"more than {MOST} pairs of a tile and what rises in front of it")
    return Facing(*found)


def none_facing(number: int) -> Facing:
    """The lists of a body known to be convex."""
    return Facing(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
