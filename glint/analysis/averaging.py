"""Averages over a turn, with as many poses as it takes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats

Values = dict[str, float]

BATCHES = 4
"""Interleaved sets of poses that the error of a mean is told from."""


class Figure(NamedTuple):
    """One measure over a turn. NaN where it is not defined in any pose, as the size of no spots.

    error: standard error of the mean, as a share of it
    """

    mean: float
    least: float
    most: float
    error: float


class Averages(NamedTuple):
    """Figures by name, how many poses they took, and whether all are as steady as asked for."""

    figures: dict[str, Figure]
    poses: int
    stable: bool


def averaged(
    measure: Callable[[float], Values],
    first: int,
    most: int,
    tolerance: float,
    enough: Callable[[int], bool] = lambda poses: True,
    small: Callable[[str], float] = lambda name: 0.0,
) -> Averages:
    """Mean, least and most of values over a period, at evenly spaced poses.

    measure: values at a share (0..1) of the period. Poses are doubled, from `first` up, until the
    error of every mean is within the tolerance and `enough` says so too, or until doubling would
    take more than `most`. small: an error of this name's value that does not matter, in its own
    unit.
    """
    rows: dict[float, Values] = {}
    poses = first
    while True:
        for place in range(poses):
            share = place / poses
            if share not in rows:
                rows[share] = measure(share)
        figures = figures_of([rows[share] for share in sorted(rows)])
        steady = all(
            one.error <= tolerance or one.error * abs(one.mean) <= small(name)
            for name, one in figures.items()
            if not math.isnan(one.mean)
        )
        if (steady and enough(poses)) or 2 * poses > most:
            return Averages(figures, poses, steady)
        poses *= 2


def figures_of(rows: Sequence[Values]) -> dict[str, Figure]:
    """A figure for each name; rows: values at evenly spaced poses, in order."""
    return {name: _figure(np.array([row[name] for row in rows])) for name in rows[0]}


def _figure(values: Floats) -> Figure:
    known = values[~np.isnan(values)]
    if not len(known):
        return Figure(math.nan, math.nan, math.nan, 0.0)
    mean = float(known.mean())
    return Figure(mean, float(known.min()), float(known.max()), relative_error(values))


def relative_error(values: Floats) -> float:
    """Standard error of the mean of values at evenly spaced poses, as a share of it.

    From the means of interleaved sets (batch means, Conway 1963): each set is itself evenly
    spaced over the turn. The whole is at least as good as sets independent of each other would
    be, so the error is rather too large than too small.
    """
    batches = [values[start::BATCHES] for start in range(BATCHES)]
    means = np.array([np.nanmean(b) for b in batches if not np.isnan(b).all()])
    if len(means) < 2:
        return math.inf if len(values) > 1 and not np.isnan(values).all() else 0.0
    spread = float(np.std(means, ddof=1)) / math.sqrt(len(means))
    mean = abs(float(np.mean(means)))
    return spread / mean if mean > 0.0 else (math.inf if spread > 0.0 else 0.0)


def percentile(values: Floats, percent: float) -> float:
    """A percentile of values; NaN of none."""
    return float(np.percentile(values, percent)) if len(values) else math.nan
