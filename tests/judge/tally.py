"""The judge's books: how many lumens met which fate, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tests.judge.room import SURFACES

ABSORBED, PANELS, BACKS, CUT_OFF, LANDED = range(5)


class Estimate(NamedTuple):
    """Lumens, and their standard error (too large when the draws are of low discrepancy)."""

    lumens: float
    error: float


@dataclass(frozen=True)
class Tally:
    """What became of the light. landed and each of surfaces are by number of mirrors met, from 0.

    lamp_lumens: all the lamp gives, in closed form. traced: what was thrown, which is all of it
    unless photons were aimed; then `landed[0]` is only the spill inside the aimed cone, and does
    not show under surfaces. panels and backs (of mirrors) make up caught.
    """

    photons: int
    lamp_lumens: float
    traced: Estimate
    absorbed: Estimate
    caught: Estimate
    panels: Estimate
    backs: Estimate
    cut_off: Estimate
    landed: tuple[Estimate, ...]
    surfaces: dict[str, tuple[Estimate, ...]]
    seconds: float

    @property
    def photons_per_second(self) -> float:
        return self.photons / self.seconds


class Ledger:
    """Running sums of weights and of their squares, to be made a Tally in the end."""

    def __init__(self, bounces: int) -> None:
        self.bounces = bounces
        self.photons = 0
        rows = LANDED + (bounces + 1) * (1 + len(SURFACES))
        self.sums = np.zeros((2, rows))
        self.thrown = np.zeros(2)

    def throw(self, weight: np.ndarray) -> None:
        self.photons += len(weight)
        self.thrown += _moments(weight)

    def add(self, row: int, weight: np.ndarray) -> None:
        self.sums[:, row] += _moments(weight)

    def land(self, bounces: int, weight: np.ndarray, surface: np.ndarray | None) -> None:
        """surface (n,) int8, or None where nobody looked."""
        row = LANDED + bounces * (1 + len(SURFACES))
        self.add(row, weight)
        if surface is not None:
            for each in range(len(SURFACES)):
                self.add(row + 1 + each, weight[surface == each])

    def merge(self, other: Ledger) -> None:
        self.photons += other.photons
        self.sums += other.sums
        self.thrown += other.thrown

    def tally(self, lamp_lumens: float, seconds: float) -> Tally:
        def estimate(moments: np.ndarray) -> Estimate:
            mean, square = moments / self.photons
            return Estimate(float(mean), float(np.sqrt(max(square - mean**2, 0) / self.photons)))

        sums = self.sums
        landed = sums[:, LANDED:].reshape(2, self.bounces + 1, 1 + len(SURFACES))
        return Tally(
            photons=self.photons,
            lamp_lumens=lamp_lumens,
            traced=estimate(self.thrown),
            absorbed=estimate(sums[:, ABSORBED]),
            caught=estimate(sums[:, PANELS] + sums[:, BACKS]),
            panels=estimate(sums[:, PANELS]),
            backs=estimate(sums[:, BACKS]),
            cut_off=estimate(sums[:, CUT_OFF]),
            landed=tuple(estimate(landed[:, k, 0]) for k in range(self.bounces + 1)),
            surfaces={
                name: tuple(estimate(landed[:, k, 1 + each]) for k in range(self.bounces + 1))
                for each, name in enumerate(SURFACES)
            },
            seconds=seconds,
        )


def _moments(weight: np.ndarray) -> tuple[float, float]:
    return float(weight.sum(dtype=float)), float(np.square(weight, dtype=float).sum())
