"""A ball left to itself on a wound-up cord: it turns to and fro."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Twist:
    """A torsion pendulum: what a cord pulls back with grows as it is wound (Hooke's law), so the
    angle is a cosine of time, however many turns; friction is left out.

    amplitude: how far it is wound at the ends, rad; period: s, there and back
    phase: how far it is on at second 0, rad of 2 pi; at 0 it is fully wound anticlockwise
    """

    amplitude: float
    period: float
    phase: float

    def angle(self, seconds: float) -> float:
        """Rad, anticlockwise seen from above."""
        return self.amplitude * math.cos(self._argument(seconds))

    def rate(self, seconds: float) -> float:
        """Rad/s."""
        return -self.fastest * math.sin(self._argument(seconds))

    @property
    def fastest(self) -> float:
        """The rate with the cord unwound, rad/s."""
        return self.amplitude * 2.0 * math.pi / self.period

    def _argument(self, seconds: float) -> float:
        return 2.0 * math.pi * ((seconds / self.period) % 1.0) + self.phase
