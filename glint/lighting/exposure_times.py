"""The instants that a long exposure is the mean of."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from glint.scene.scene import Scene

STRIDE = 1.0
"""Most that a spot moves between neighbouring angles of its ball in each half of the first
attempt, in edges of the smallest tile: a spot is always larger than its tile, and soft. Steps below
a texel would gain nothing. Where tracks cross and overlap this is enough."""

OFFSETS = 512
"""How finely the offset between the halves is chosen."""


class Halves:
    """Two sets of instants, evenly spaced each.

    count: of each half, a prime. A body that looks alike m times in the exposure is met m times
    over by its pattern; a prime count that divides no m never meets it twice in the same place. So
    few instants serve however fast it turns.
    offset: of the second half, in steps, chosen so that for every ball it falls as nearly as can
    be into the middle between the angles of the first.
    """

    def __init__(self, scene: Scene, seconds: float, count: int) -> None:
        self.seconds, self.count = seconds, count
        self.offset = offset_between([seconds * often for often in _rates(scene)])

    def times(self, half: int) -> Iterator[float]:
        """The instants of the first half (0) or the second (1), s."""
        for number in range(self.count):
            yield self.seconds * (number + half * self.offset) / self.count


def first_count(scene: Scene, seconds: float, texel: float) -> int:
    """Instants of each half for streaks without many beads: a prime. texel: m."""
    step = max(texel, STRIDE * min(ball.body.tile_edge for ball in scene.balls))
    travels = [
        fastest * min(seconds, 1.0 / often if often else math.inf)
        for fastest, often in zip(scene.fastest_spots, _rates(scene), strict=True)
    ]
    return prime_from(math.ceil(max(travels) / step))


def offset_between(repeats: list[float]) -> float:
    """The offset, 0 to 1, that is near to a half, as is every m times it: 1 is for what a swing or
    a twist makes different at each repeat."""
    offsets = (np.arange(OFFSETS) + 0.5) / OFFSETS
    turning = np.array([1.0, *(m for m in repeats if m > 0.0)])
    off = np.abs((turning[:, None] * offsets) % 1.0 - 0.5)
    return float(offsets[np.argmin(off.max(axis=0))])


def prime_from(number: int) -> int:
    """The first prime that is not less than a number."""
    found = max(number, 2)
    while any(found % k == 0 for k in range(2, math.isqrt(found) + 1)):
        found += 1
    return found


def _rates(scene: Scene) -> list[float]:
    """How often a second each ball looks as before; 0 of those that only swing or twist. A swing
    or a twist beside the turning only shifts its tracks."""
    return [abs(b.turning) * b.body.symmetry / (2.0 * math.pi) for b in scene.balls]
