"""How well the mean over a turn has converged, told from the two halves of its own instants."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats

FINEST = 512
"""Most texels across a map that errors are computed on."""

WORTH = 0.01
"""Least share of all the light that a surface must get for its error to count."""


def error_of_halves(
    first: dict[str, np.ndarray], second: dict[str, np.ndarray], areas: dict[str, float]
) -> float:
    """Relative error of the mean over one half of the instants: root mean square over that of the
    light, on the surface where it is worst.

    first, second: mean maps of both halves by surface, (h, w) of `reduced`; areas: m², of texels.
    The halves err by as much, one this way and one that; the mean of both errs by less, how much
    less depends on the motion, so one half's error is what is stated.
    """
    both = {name: 0.5 * (first[name] + second[name]) for name in first}
    lumens = {name: float(lux.sum()) * areas[name] for name, lux in both.items()}
    least = WORTH * sum(lumens.values())
    return max(
        (
            _rms(first[name] - second[name]) / (2.0 * _rms(lux))
            for name, lux in both.items()
            if lumens[name] > least
        ),
        default=0.0,
    )


def reduced(lux: np.ndarray) -> Floats:
    """A map in grey, means over blocks so that it is at most FINEST across: (h, w) float."""
    block = -(-max(lux.shape[:2]) // FINEST)
    rows, columns = (-(-size // block) * block for size in lux.shape[:2])
    grey = np.zeros((rows, columns))
    grey[: lux.shape[0], : lux.shape[1]] = lux.sum(axis=2, dtype=np.float64)
    return grey.reshape(rows // block, block, columns // block, block).mean(axis=(1, 3))


def _rms(values: Floats) -> float:
    return math.sqrt(float((values**2).mean()))
