"""A ball that swings on its cord: the plane pendulum, at any amplitude, without friction."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from glint.kernels.arrays import Floats

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s² (3rd CGPM, 1901)."""


@dataclass(frozen=True)
class Swing:
    """How a ball swings to and fro in one upright plane, stiffly with its cord.

    length: from the hook to the ball's middle, m, where all its mass is taken to be
    amplitude: how far the cord leans at the ends, rad
    towards: azimuth of one end, rad
    phase: how far the swing is on at second 0, rad of 2 pi; at 0 it is at that end
    """

    length: float
    amplitude: float
    towards: float
    phase: float

    @property
    def period(self) -> float:
        """Seconds there and back."""
        return period_of(self.length, self.amplitude)

    def lean(self, seconds: float) -> float:
        """How far the cord leans towards its azimuth, rad, by the exact solution.

        sin(lean / 2) = k cd(w t | k²), k = sin(amplitude / 2), w = sqrt(g / l): Jacobi's elliptic
        function cd = cn / dn (NIST Digital Library of Mathematical Functions, 22.19.2 in the time
        counted from an end).
        """
        k = math.sin(self.amplitude / 2.0)
        _, cn, dn = self._functions(seconds)
        return 2.0 * math.asin(k * cn / dn)

    def rate(self, seconds: float) -> float:
        """How fast the lean grows, rad/s."""
        k = math.sin(self.amplitude / 2.0)
        sn, _, dn = self._functions(seconds)
        return -2.0 * k * math.sqrt(GRAVITY / self.length) * math.sqrt(1.0 - k * k) * sn / dn

    @property
    def fastest(self) -> float:
        """The rate at the lowest point, rad/s: all height has become speed."""
        return 2.0 * math.sqrt(GRAVITY / self.length) * math.sin(self.amplitude / 2.0)

    @property
    def axis(self) -> Floats:
        """What a growing lean turns the ball about, unit: (3,) float."""
        return np.array([math.sin(self.towards), -math.cos(self.towards), 0.0])

    def rotation(self, lean: float) -> Floats:
        """The turn that takes the upright cord to one that leans so far: (3, 3) float."""
        x, y, _ = self.axis
        c, s = math.cos(lean), math.sin(lean)
        return np.array(
            [
                [c + (1 - c) * x * x, (1 - c) * x * y, s * y],
                [(1 - c) * x * y, c + (1 - c) * y * y, -s * x],
                [-s * y, s * x, c],
            ]
        )

    def _functions(self, seconds: float) -> tuple[float, float, float]:
        from scipy.special import ellipj

        # Whole periods are taken off first: they are exactly alike then.
        shares = (seconds / self.period + self.phase / (2.0 * math.pi)) % 1.0
        modulus = math.sin(self.amplitude / 2.0) ** 2
        sn, cn, dn, _ = ellipj(shares * 4.0 * _quarter(modulus), modulus)
        return float(sn), float(cn), float(dn)


def period_of(length: float, amplitude: float = 0.0) -> float:
    """Seconds of one swing there and back of a point on a cord; length: m, amplitude: rad.

    T = 4 K(k²) sqrt(l / g), k = sin(amplitude / 2), K the complete elliptic integral of the first
    kind (NIST Digital Library of Mathematical Functions, 22.19); for small swings Huygens'
    2 pi sqrt(l / g).
    """
    return 4.0 * _quarter(math.sin(amplitude / 2.0) ** 2) * math.sqrt(length / GRAVITY)


def _quarter(modulus: float) -> float:
    from scipy.special import ellipk

    return float(ellipk(modulus))
