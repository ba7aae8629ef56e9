"""Which polygons of a body can ever stand in the way of light to or from which others."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers, OccluderLists, Polygons
from glint.kernels.geometry.bounding_sphere import about_spheres, polygon_spheres
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted

RISE = 1e-4
"""A polygon that rises less than this above another's plane is not in its way, m. A tenth of a
millimetre is finer than tiles are glued, and keeps the tiles of a sphere, whose corners overlook
each other by hundredths of a millimetre, out of each other's lists."""

MOST = 100_000_000
"""Polygons in all lists together: 0.8 GB."""

CLUSTER = 32
"""Most polygons of a cluster."""

AT_ONCE = 4096
"""Polygons whose lists are counted before their number is looked at."""


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


class Clusters(NamedTuple):
    """Neighbouring polygons in spheres, so that all that lie behind a plane are passed over at
    once.

    order: (n,) int, polygons, cluster by cluster; start: (k + 1,) int; ball: (k,) int
    sphere: (k, 4) float, m, centre and radius
    """

    order: Integers
    start: Integers
    ball: Integers
    sphere: Floats


def clusters_of(spheres: Floats, ball: Integers) -> Clusters:
    """Clusters of at most CLUSTER polygons of one ball each, which are given one after the other.

    spheres: (n, 4) float, about the polygons; ball: (n,) int, rising
    """
    ends = np.flatnonzero(np.diff(ball, prepend=-1, append=-1))
    order, start = [], [np.zeros(1, np.int64)]
    for first, last in pairwise(ends.tolist()):
        order.append(first + np.argsort(_along_curve(spheres[first:last, :3]), kind="stable"))
        start.append(np.append(np.arange(first + CLUSTER, last, CLUSTER), last))
    joined, begin = np.concatenate([*order, np.zeros(0, np.int64)]), np.concatenate(start)
    about = np.zeros((len(begin) - 1, 4))
    about_spheres(spheres[joined], begin, about)
    return Clusters(joined, begin, ball[begin[:-1]], about)


def _along_curve(place: Floats) -> Integers:
    """Numbers of points (n, 3) along a curve that fills space: neighbours on it are neighbours in
    space (Morton 1966)."""
    least, most = place.min(axis=0), place.max(axis=0)
    cell = ((place - least) * (1023.0 / max(float((most - least).max()), 1e-12))).astype(np.int64)
    number = np.zeros(len(place), np.int64)
    for bit in range(10):
        for axis in range(3):
            number |= ((cell[:, axis] >> bit) & 1) << (3 * bit + axis)
    return number


@kernel
def _face(first, last, given):
    """Find what rises in front of polygons, from first to last as counted from `begin` on: count
    it, or list it where the counts say."""
    polygons, spheres, clusters, sources, both, rise, begin, listing, start, index = uncounted(
        given
    )
    for i in range(begin + first, begin + last):
        if not sources[i]:
            continue
        found = 0
        for c in range(clusters.ball.shape[0]):
            if clusters.ball[c] != polygons.ball[i]:
                continue
            if not _in_front(polygons, i, clusters.sphere, c, rise):
                continue
            for n in range(clusters.start[c], clusters.start[c + 1]):
                j = clusters.order[n]
                if j == i or not _in_front(polygons, i, spheres, j, rise):
                    continue
                if _rise(polygons, i, j) <= rise or (both[c] and _rise(polygons, j, i) <= rise):
                    continue
                if listing:
                    index[start[i] + found] = j
                found += 1
        if not listing:
            start[i + 1] = found


@kernel
def _in_front(polygons, i, spheres, s, rise):
    """Whether a sphere rises in front of the plane of polygon i."""
    height = spheres[s, 3]
    for k in range(3):
        height += polygons.normals[i, k] * (spheres[s, k] - polygons.corners[i, 0, k])
    return height > rise


def occluder_lists(
    polygons: Polygons,
    convex: Flags | None = None,
    solid: int | None = None,
    closed: Flags | None = None,
) -> OccluderLists:
    """The polygons of the same ball that rise in front of each tile or opening.

    Light only ever leaves from mirrors and openings, so the lists of panels are empty.
    convex: (balls,) bool, those whose polygons are known not to rise; their lists are empty too.
    solid: the first so many polygons are panels and tiles, the others openings: nothing is ever
    behind an opening, but much may be in front of it. All are solid if it is not given.
    closed: (balls,) bool, those of which nobody outside sees a back: from a front only what also
    has that in front of it can be met, if what stands a tile's thickness aside counts as met.
    Raises OverflowError where the lists would hold more than MOST polygons together.
    """
    number = len(polygons.sides)
    solid = number if solid is None else solid
    sources = polygons.mirror | (np.arange(number) >= solid)
    if convex is not None:
        sources &= ~convex[polygons.ball]
    start, index = np.zeros(number + 1, np.int64), np.zeros(0, np.int64)
    if not sources.any():
        return OccluderLists(start, index)
    spheres = polygon_spheres(polygons)
    clusters = clusters_of(spheres[:solid], polygons.ball[:solid])
    both = np.zeros(len(clusters.ball), np.bool_) if closed is None else closed[clusters.ball]
    given = (polygons, spheres, clusters, sources, both, RISE)
    for first in range(0, number, AT_ONCE):
        some = min(AT_ONCE, number - first)
        share_out(some, _face, (*given, first, np.bool_(False), start, index))
        if start.sum() > MOST:
            raise OverflowError(f"more than {MOST} pairs of a tile and what rises in front of it")
    np.cumsum(start, out=start)
    index = np.empty(start[-1], np.int64)
    share_out(number, _face, (*given, 0, np.bool_(True), start, index))
    return OccluderLists(start, index)


def no_occluders(number: int) -> OccluderLists:
    """The lists of a body known to be convex."""
    return OccluderLists(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
