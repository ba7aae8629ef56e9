"""The frames of a loop: which moments each one gathers light from, and what it then shows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.render.views import view_of
from glint.scene.period import Cycle
from glint.scene.scene import Scene

STREAK = 3.0
"""Most texels that a spot moves between two instants of one open shutter."""

MOST_INSTANTS = 16

Picture = NDArray[np.uint8]
Exposure = tuple[float, list[Fraction]]
"""A share of a frame's light, and the moments, s, that it is the mean of."""


class Film(NamedTuple):
    """A loop before it is a file.

    size: width and height, pixels. count: frames, that share out the cycle evenly, so the last is
    one step before the first. shutter: degrees of each frame's time for which it gathers light.
    stops: brighter than the automatic exposure.
    """

    scene: Scene
    view: str
    size: tuple[int, int]
    cycle: Cycle
    count: int
    shutter: float
    stops: float

    @property
    def step(self) -> Fraction:
        """Seconds from frame to frame."""
        return self.cycle.seconds / self.count

    @property
    def rate(self) -> Fraction:
        """Frames a second."""
        return self.count / self.cycle.seconds

    @property
    def faded(self) -> int:
        """How many frames at the beginning the end is faded into."""
        return round(self.cycle.fade / self.step)

    def exposures(self, number: int, texel: float) -> list[Exposure]:
        """What a frame is made of; texel: m.

        Where the join is faded, the first frames show what would have come after the last one as
        well, less and less of it: so the very first follows upon the last as any other does.
        """
        if number >= self.faded:
            return [(1.0, self._moments(number, texel))]
        share = number / self.faded
        later = (1.0 - share, self._moments(self.count + number, texel))
        return [later] if number == 0 else [later, (share, self._moments(number, texel))]

    def frames(self, numbers: range | None = None) -> Iterator[Picture]:
        """Eight-bit frames, (h, w, 3) uint8 each: all, or some that follow each other."""
        wanted = range(self.count) if numbers is None else numbers
        view, exposures = view_of(self.view), self.exposures
        return view.frames(self.scene, self.size, self.count, exposures, self.stops, wanted)

    def _moments(self, number: int, texel: float) -> list[Fraction]:
        """Instants in the middle of equal shares of the time that the shutter is open, s."""
        instants = _instants(self.scene, float(self.step) * self.shutter / 360.0, texel)
        parts = [Fraction(2 * k + 1, 2 * instants) for k in range(instants)]
        return [(number + part * Fraction(self.shutter / 360.0)) * self.step for part in parts]


def _instants(scene: Scene, seconds: float, texel: float) -> int:
    """Instants that an open shutter is made of, so that a moving spot leaves an even streak."""
    moved = scene.fastest_spot * seconds / texel
    return min(max(math.ceil(moved / STREAK), 1), MOST_INSTANTS)
