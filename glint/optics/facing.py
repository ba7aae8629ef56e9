"""Which polygons of a body can ever stand in the way of light to or from which others."""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import Facing, Polygons
from glint.optics.compile import kernel

RISE = 1e-4
"""A polygon that rises less than this above another's plane is not in its way, m. A tenth of a
millimetre is finer than tiles are glued, and keeps the tiles of a sphere, whose corners overlook
each other by hundredths of a millimetre, out of each other's lists."""

GROUP = 64
"""Polygons that are looked at together before they are looked at one by one."""


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
def _sphere(polygons, first, last, sphere):
    """Set sphere (x, y, z, radius) to one about the polygons from first to before last, m."""
    for k in range(3):
        low, high = 1e300, -1e300
        for j in range(first, last):
            for c in range(polygons.sides[j]):
                low = min(low, polygons.corners[j, c, k])
                high = max(high, polygons.corners[j, c, k])
        sphere[k] = 0.5 * (low + high)
    furthest = 0.0
    for j in range(first, last):
        for c in range(polygons.sides[j]):
            square = 0.0
            for k in range(3):
                square += (polygons.corners[j, c, k] - sphere[k]) ** 2
            furthest = max(furthest, square)
    sphere[3] = math.sqrt(furthest)


@kernel
def _groups(polygons):
    """The first polygon of every group, (g + 1,) int, and spheres about them, (g, 4) float; and
    spheres about the whole ball that each belongs to, (g, 4) float."""
    number = polygons.sides.shape[0]
    first = np.zeros(number + 1, np.int64)
    whole = np.zeros((number, 4))
    groups = begin = 0
    for j in range(number + 1):
        new_ball = 0 < j < number and polygons.ball[j] != polygons.ball[j - 1]
        if j == number or new_ball:
            of_groups = groups
            for start in range(begin, j, GROUP):
                first[groups] = start
                if start == begin:
                    _sphere(polygons, begin, j, whole[groups])
                else:
                    whole[groups] = whole[of_groups]
                groups += 1
            begin = j
    first[groups] = number
    spheres = np.zeros((groups, 4))
    for g in range(groups):
        _sphere(polygons, first[g], first[g + 1], spheres[g])
    return first[: groups + 1], spheres, whole[:groups]


@kernel
def _may_rise(polygons, i, spheres, whole, g, rise):
    """Whether anything in group g can rise so far in front of the plane of polygon i. It lies in
    the sphere of the whole ball as well, of which the plane cuts off a cap about a foot.
    """
    up, foot, away = -rise, -rise, 0.0
    for k in range(3):
        up += polygons.normals[i, k] * (spheres[g, k] - polygons.corners[i, 0, k])
        foot += polygons.normals[i, k] * (whole[g, k] - polygons.corners[i, 0, k])
    if up + spheres[g, 3] <= 0.0:
        return False
    if foot >= 0.0:  # more than half of the ball is in front
        return True
    for k in range(3):
        away += (spheres[g, k] - whole[g, k] + foot * polygons.normals[i, k]) ** 2
    reach = math.sqrt(max(whole[g, 3] ** 2 - foot**2, 0.0)) + spheres[g, 3]
    return away <= reach * reach


@kernel
def _lists(polygons, rise):
    number = polygons.sides.shape[0]
    start = np.zeros(number + 1, np.int64)
    first, spheres, whole = _groups(polygons)
    for counting in range(2):
        index = np.empty(start[number] if counting else 0, np.int64)
        for i in range(number):
            found = 0
            # Light only ever leaves from mirrors, so panels need no list.
            if polygons.mirror[i] and not (counting and start[i + 1] == start[i]):
                for g in range(spheres.shape[0]):
                    # Nearly all of a large round body lies behind each of its tiles.
                    if polygons.ball[first[g]] != polygons.ball[i] or not _may_rise(
                        polygons, i, spheres, whole, g, rise
                    ):
                        continue
                    for j in range(first[g], first[g + 1]):
                        if j != i and _rise(polygons, i, j) > rise:
                            if counting:
                                index[start[i] + found] = j
                            found += 1
            if not counting:
                start[i + 1] = start[i] + found
    return start, index


def facing_lists(polygons: Polygons) -> Facing:
    """The polygons of the same ball that rise in front of each tile; panels' lists are empty."""
    start, index = _lists(polygons, RISE)
    return Facing(start, index)


def none_facing(number: int) -> Facing:
    """The lists of a body known to be convex."""
    return Facing(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
