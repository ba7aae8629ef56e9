"""How long it takes until the pattern is the same again."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from glint.scene.errors import GlintError

if TYPE_CHECKING:
    from glint.rig.scene import Scene

LONGEST = 120
"""Longest loop, s."""


def period(scene: Scene) -> Fraction:
    """The shortest time after which every ball looks as it did, s.

    A body of symmetry k that turns n times a minute looks the same 60 / (k n) seconds later;
    several must all look the same at once. Raises GlintError where nothing turns, or where the
    loop would be longer than LONGEST.
    """
    whole = Fraction(0)
    for row, ball in zip(scene.file.ball, scene.balls, strict=True):
        speed = abs(Fraction(str(row.motion.rpm)))
        if speed == 0:
            continue
        own = 60 / (speed * ball.body.symmetry)
        whole = own if whole == 0 else _common(whole, own)
    if whole == 0:
        raise GlintError("nothing turns in this scene: a loop wants a motion.rpm other than 0")
    if whole > LONGEST:
        raise GlintError(
            f"the pattern repeats only after {float(whole):.0f} s, a loop may last {LONGEST} s: "
            "choose speeds that are simple multiples of each other, or faster ones"
        )
    return whole


def _common(a: Fraction, b: Fraction) -> Fraction:
    return Fraction(math.lcm(a.numerator, b.numerator), math.gcd(a.denominator, b.denominator))
