"""How long it takes until the pattern is the same again."""

from __future__ import annotations

import functools
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
    whole = _together(scene, *_twinkles(scene))
    if whole > LONGEST:
        raise GlintError(
            f"the pattern repeats only after {float(whole):.0f} s, a loop may last {LONGEST} s: "
            "choose speeds that are simple multiples of each other, or faster ones"
        )
    return whole


def exposure_time(scene: Scene) -> Fraction:
    """How long a shutter must be open to take in a whole turn of the slowest ball, s.

    Where the pattern repeats a whole number of times in that turn, once is enough: the mean is
    the same. Raises GlintError where nothing turns.
    """
    repeats = _together(scene)
    turn = max(60 / speed for speed, _ in _turning(scene))
    return repeats if (turn / repeats).denominator == 1 else turn


def _turning(scene: Scene) -> list[tuple[Fraction, int]]:
    """Turns a minute and symmetry of every ball that turns."""
    rows = zip(scene.file.ball, scene.balls, strict=True)
    # A string never lies as evenly as its body.
    strung = {string.ball for string in scene.strings}
    found = [
        (abs(Fraction(str(row.motion.rpm))), 1 if number in strung else ball.body.symmetry)
        for number, (row, ball) in enumerate(rows)
    ]
    return [(speed, symmetry) for speed, symmetry in found if speed]


def _twinkles(scene: Scene) -> list[Fraction]:
    """Periods of all twinkling strings, s."""
    return [Fraction(str(row.twinkle_s)) for row in scene.file.string if row.twinkle_s]


def _together(scene: Scene, *others: Fraction) -> Fraction:
    """Time after which every ball looks as it did, however long, s, and all else that repeats."""
    owns = [60 / (speed * symmetry) for speed, symmetry in _turning(scene)]
    owns += others
    if not owns:
        raise GlintError("nothing turns in this scene: it wants a motion.rpm other than 0")
    return functools.reduce(_common, owns)


def _common(a: Fraction, b: Fraction) -> Fraction:
    return Fraction(math.lcm(a.numerator, b.numerator), math.gcd(a.denominator, b.denominator))
