"""Passes of spots over fixed points: how often each point flashes, and what a turn sweeps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from scipy.spatial import KDTree

from glint.kernels.arrays import Flags, Floats, Integers
from glint.lighting.spots import Spots

MOST_FLASHES = 3
"""Flashes in any one second that content should not exceed (WCAG 2.2 SC 2.3.1; ITU-R BT.1702)."""


class Passes(NamedTuple):
    """When spots come over points, in one period of the pattern.

    point: (e,) int; time: (e,) float, s; sorted by point, then time
    swept: (p,) bool, points that a spot is over at any time
    period: s
    """

    point: Integers
    time: Floats
    swept: Flags
    period: float

    def counts(self) -> Integers:
        """Passes over each point in a period: (p,) int."""
        return np.bincount(self.point, minlength=len(self.swept))

    def rates(self) -> Floats:
        """Passes per second over each point, on average: (p,) float."""
        return self.counts() / self.period

    def most_in(self, seconds: float) -> Integers:
        """Most passes over each point within any stretch of time so long: (p,) int.

        The pattern repeats after its period. A stretch takes in its beginning, not its end.
        """
        whole = math.floor(seconds / self.period)
        counts = self.counts()
        most = whole * counts
        rest = seconds - whole * self.period
        if len(self.time) and rest > 0.0:
            # Every point's times, twice over, on one line far apart from the next point's.
            apart = 4.0 * self.period
            once = self.point * apart + self.time
            line = np.sort(np.concatenate([once, once + self.period]))
            number = np.searchsorted(line, once + rest, side="left")
            number = number - np.searchsorted(line, once, side="left")
            extra = np.zeros(len(self.swept), np.int64)
            np.maximum.at(extra, self.point, number)
            most = most + extra
        return most


def passes(steps: Sequence[Spots], seconds: float, points: Floats) -> Passes:
    """Passes of spots over points while the spots move from step to step.

    steps: spots at even times from the beginning to the end of the period, both included; seconds:
    the period; points: (p, 3) float, m. A spot counts as the disc of its area, and moves from
    step to step by way of a place half-way, which its velocities tell: no point is jumped over.
    A pass begins when a disc comes over a point, or lights up over it.
    """
    tree = KDTree(points)
    swept = np.zeros(len(points), bool)
    swept[_within(tree, steps[0].point, 0.5 * steps[0].diameter)[1]] = True
    step = seconds / (len(steps) - 1)
    found_points, found_times = [], []
    for number, (before, after) in enumerate(pairwise(steps)):
        earlier, later = _matched(before, after)
        new = np.setdiff1d(np.arange(len(after.point)), later, assume_unique=True)
        gone = np.setdiff1d(np.arange(len(before.point)), earlier, assume_unique=True)
        # On average what lights up or goes out does so in the middle of a step.
        back = after.point[new] - 0.5 * step * after.velocity[new]
        onward = before.point[gone] + 0.5 * step * before.velocity[gone]
        radius = 0.25 * (before.diameter[earlier] + after.diameter[later])
        half = _halfway(before, after, earlier, later, step)
        born, dying = 0.5 * after.diameter[new], 0.5 * before.diameter[gone]
        lit = _within(tree, back, born)[1]
        moved = (
            _entered(tree, points, before.point[earlier], half, radius, 0.0, 0.5),
            _entered(tree, points, half, after.point[later], radius, 0.5),
        )
        # Only what is surely swept: the ends of ways known to half a step do not count.
        swept[np.concatenate([moved[0][0], moved[1][0]])] = True
        swept[_within(tree, after.point[new], born)[1]] = True
        for point, part in (
            *moved,
            (lit, np.full(len(lit), 0.5)),
            _entered(tree, points, back, after.point[new], born, 0.5),
            _entered(tree, points, before.point[gone], onward, dying, 0.0, 0.5),
        ):
            found_points.append(point)
            found_times.append((number + part) * step)
    point = np.concatenate(found_points)
    time = np.minimum(np.concatenate(found_times), np.nextafter(seconds, 0.0))
    order = np.lexsort([time, point])
    return Passes(point[order], time[order], swept, seconds)


def _matched(before: Spots, after: Spots) -> tuple[Integers, Integers]:
    """Rows of the spots that are there both before and after: two (k,) int."""
    both = np.concatenate([before.key, after.key])
    if not len(both):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    _, name = np.unique(both, axis=0, return_inverse=True)
    name = name.ravel()
    first, second = name[: len(before.key)], name[len(before.key) :]
    _, earlier, later = np.intersect1d(first, second, assume_unique=True, return_indices=True)
    return earlier.astype(np.int64), later.astype(np.int64)


def _halfway(
    before: Spots, after: Spots, earlier: Integers, later: Integers, step: float
) -> Floats:
    """Where spots are in the middle of a step, m: (k, 3) float, on Hermite's cubic."""
    start, end = before.point[earlier], after.point[later]
    bend = 0.125 * step * (before.velocity[earlier] - after.velocity[later])
    # Where light grazes a surface the speed has no bounds: there the way is taken as straight.
    wild = np.linalg.norm(bend, axis=1) > 0.25 * np.linalg.norm(end - start, axis=1)
    bend[wild] = 0.0
    return 0.5 * (start + end) + bend


def _within(tree: KDTree, middle: Floats, radius: Floats) -> tuple[Integers, Integers]:
    """Pairs of spot and point with the point within a radius: two (k,) int."""
    if not len(middle):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    lists = tree.query_ball_point(middle, radius, return_sorted=True)
    number = np.array([len(one) for one in lists], np.int64)
    flat = np.array([point for one in lists for point in one], np.int64)
    return np.repeat(np.arange(len(middle)), number), flat


def _entered(
    tree: KDTree,
    points: Floats,
    start: Floats,
    end: Floats,
    radius: Floats,
    begin: float = 0.0,
    share: float | None = None,
) -> tuple[Integers, Floats]:
    """Points that moving discs come over: points (k,) int and part of the step (k,) float.

    The way takes a share of the step, all that is left of it by default, from `begin` on.
    """
    way = end - start
    length = np.linalg.norm(way, axis=1)
    disc, point = _within(tree, 0.5 * (start + end), radius + 0.5 * length)
    away = start[disc] - points[point]
    square = np.maximum(length[disc] ** 2, 1e-300)
    along = np.sum(away * way[disc], axis=1)
    beyond = np.sum(away**2, axis=1) - radius[disc] ** 2
    root = along**2 - square * beyond
    part = (-along - np.sqrt(np.maximum(root, 0.0))) / square
    enters = (beyond > 0.0) & (root > 0.0) & (part > 0.0) & (part <= 1.0)
    return point[enters], begin + part[enters] * (1.0 - begin if share is None else share)
