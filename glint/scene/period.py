"""How long it takes until the pattern is the same again, and what to do where it never is."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from glint.errors import GlintError
from glint.scene.scene import Scene

LONGEST = 60
"""Longest loop, s."""

FADE = 2
"""Seconds that a join which cannot be seamless is faded over."""

CLOSED = Fraction(1, 10_000)
"""Share of a swing by which one may be off at the join of a loop: its period is the root of a
length, so no whole number of swings fits a whole number of turns exactly. On a cord of 2 m that
leans by ten degrees this moves a ball by a fifth of a millimetre."""


class Cycle(NamedTuple):
    """How long a loop is.

    seconds: from its first frame to its first frame again
    fade: over how many of these the end is faded into the beginning; 0 for a seamless join
    reason: why it has to be, in words; empty for a seamless join
    """

    seconds: Fraction
    fade: Fraction
    reason: str


def period(scene: Scene) -> Fraction:
    """The shortest time after which every ball looks and hangs as it did, s.

    A body of symmetry k that turns n times a minute looks the same 60 / (k n) seconds later; a
    swing and a twist after each period; all must come together. Raises GlintError where nothing
    moves, or where the loop would be longer than LONGEST.
    """
    whole, reason = _common_period(scene, LONGEST, _twinkles(scene))
    if whole is None:
        raise GlintError(
            f"{reason}, a loop may last {LONGEST} s: "
            "choose speeds that are simple multiples of each other, or faster ones"
        )
    return whole


def cycle(scene: Scene, longest: int = LONGEST) -> Cycle:
    """The period of the pattern; where it is longer than `longest` s, a loop that is faded.

    That loop ends where the pattern is most like its beginning: of all whole numbers of any of
    the periods, the time at which the others are least far from whole numbers of theirs. Raises
    GlintError where nothing moves.
    """
    whole, reason = _common_period(scene, longest, _twinkles(scene))
    if whole is not None:
        return Cycle(whole, Fraction(0), "")
    own = sorted({*_exact_periods(scene), *_swings(scene), *_twinkles(scene)})
    ends = {n * p for p in own for n in range(1, math.floor(longest / p) + 1)}
    fitting = sorted(end for end in ends if 2 * end >= longest) or [Fraction(longest)]
    best = min(fitting, key=lambda end: max(_off(end, p) for p in own))
    return Cycle(best, min(Fraction(FADE), best / 4), reason)


def exposure_time(scene: Scene) -> Fraction:
    """How long a shutter must be open to take in a whole turn of the slowest ball, s.

    Where the pattern repeats a whole number of times in that turn, once is enough: the mean is
    the same. Of balls that only swing or twist, the slowest there and back. Raises GlintError
    where nothing moves.
    """
    turn = max([60 / speed for speed, _ in _turning(scene)] + _to_and_fro(scene), default=None)
    if turn is None:
        raise _nothing_turns()
    repeats, _ = _common_period(scene, math.inf)
    return repeats if repeats is not None and (turn / repeats).denominator == 1 else turn


def _turning(scene: Scene) -> list[tuple[Fraction, int]]:
    """Turns a minute and symmetry of every ball that turns."""
    # A string never lies as evenly as its body.
    strung = {string.ball for string in scene.strings}
    found = [
        (abs(Fraction(str(ball.motion.rpm))), 1 if number in strung else ball.body.symmetry)
        for number, ball in enumerate(scene.balls)
    ]
    return [(speed, symmetry) for speed, symmetry in found if speed]


def _twinkles(scene: Scene) -> list[Fraction]:
    """Periods of all twinkling strings, s."""
    return [Fraction(str(string.period)) for string in scene.strings if string.period]


def _exact_periods(scene: Scene) -> list[Fraction]:
    """Of every turning and twisting: those that are whole shares of each other, s."""
    twists = [ball.motion.twist_period_s for ball in scene.balls if ball.motion.twist_turns]
    return [60 / (speed * symmetry) for speed, symmetry in _turning(scene)] + [
        Fraction(str(seconds)) for seconds in twists
    ]


def _swings(scene: Scene) -> list[Fraction]:
    """Periods of all swings, s, to the nanosecond."""
    periods = [ball.swing.period for ball in scene.balls if ball.swing is not None]
    return sorted({Fraction(round(1e9 * seconds), 10**9) for seconds in periods})


def _to_and_fro(scene: Scene) -> list[Fraction]:
    twists = [ball.motion.twist_period_s for ball in scene.balls if ball.motion.twist_turns]
    return [Fraction(str(seconds)) for seconds in twists] + _swings(scene)


def _common_period(
    scene: Scene, longest: float, others: Sequence[Fraction] = ()
) -> tuple[Fraction | None, str]:
    """Time after which all is as it was, s; or None, and why there is none of at most `longest`.

    others: periods of what else repeats, s.

    Turns and twists come together exactly; swings to within CLOSED.
    """
    exact, swings = [*_exact_periods(scene), *others], _swings(scene)
    if not exact and not swings:
        raise _nothing_turns()
    together = functools.reduce(_common, exact) if exact else swings[-1]
    if together > longest:
        what = "all but the swings" if swings else "the pattern"
        return None, f"{what} repeats only after {float(together):.0f} s"
    steps = math.floor(min(longest, 1000 * together) / together)
    for n in range(1, steps + 1):
        if all(_off(n * together, swing) <= CLOSED for swing in swings):
            return n * together, ""
    shown = listed_seconds(swings)
    if exact:
        beside = f"all the rest, {float(together):g} s"
        return None, f"swings of {shown} have no common period with {beside}"
    return None, f"swings of {shown} have no common period"


def listed_seconds(periods: list[Fraction]) -> str:
    """As "2.46 and 2.84 s"."""
    return " and ".join(f"{float(seconds):.3g}" for seconds in periods) + " s"


def _off(time: Fraction, own: Fraction) -> Fraction:
    """How far a time is from a whole number of periods, as a share of one."""
    shares = time / own
    return abs(shares - round(shares))


def _nothing_turns() -> GlintError:
    return GlintError(
        "nothing turns in this scene: it wants a motion.rpm other than 0, a swing or a twist"
    )


def _common(a: Fraction, b: Fraction) -> Fraction:
    return Fraction(math.lcm(a.numerator, b.numerator), math.gcd(a.denominator, b.denominator))
