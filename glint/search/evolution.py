"""Differential evolution over what a scene leaves free."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from glint.kernels.arrays import Floats
from glint.search.tally import Tally

PER_NUMBER = 8
"""Placings of one generation, for each free number."""

FEWEST = 5
"""Placings of the smallest generation."""

GENERATIONS = 1000
"""Most of them: where most placings are refused without a look, tries alone would not end it."""


def evolve(tally: Tally, bounds: list[tuple[float, float]], begin: list[float], until: int) -> None:
    """Look for good placings, generation by generation (Storn & Price 1997).

    until: tries that it may use up. The tally knows the best afterwards.
    """
    from scipy.optimize import differential_evolution

    def many(work: Callable[[Any], float], placings: Iterable[Any]) -> list[float]:
        return [-value for value in tally.scores(placings, until)]

    def used_up(xk: Floats, convergence: float) -> bool:
        return tally.tried >= until

    # At least three generations.
    generation = max(min(PER_NUMBER * len(bounds), (until - tally.tried) // 3), FEWEST)
    lows, highs = np.array(bounds).T
    generator = np.random.default_rng(tally.file.goal.seed)
    first = _spread(generator, generation, lows, highs)
    first[0] = np.clip(begin, lows, highs)
    differential_evolution(
        _never,
        bounds,
        init=first,  # pyright: ignore
        maxiter=GENERATIONS,
        rng=generator,
        updating="deferred",
        workers=many,  # pyright: ignore
        callback=used_up,
        polish=False,
        tol=1e-4,
        mutation=(0.4, 0.9),
        recombination=0.8,
    )


def _spread(generator: np.random.Generator, number: int, lows: Floats, highs: Floats) -> Floats:
    """A Latin hypercube (McKay 1979): each number's range is covered evenly."""
    shares = (np.arange(number)[:, None] + generator.random((number, len(lows)))) / number
    return lows + generator.permuted(shares, axis=0) * (highs - lows)


def _never(values: Any) -> float:
    """Scores come from the tally; the optimiser never asks for one by itself."""
    raise AssertionError("a placing was scored outside the tally")
