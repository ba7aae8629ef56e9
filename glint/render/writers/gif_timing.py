"""Whole ticks of a clock for every frame of a loop, right on average."""

from __future__ import annotations

from fractions import Fraction


def ticks_until(frame: int, rate: Fraction, ticks_a_second: int) -> int:
    """The tick nearest to the moment when a frame (counted from 0) is due."""
    return round(frame * ticks_a_second / rate)


def ticks_of(frame: int, rate: Fraction, ticks_a_second: int) -> int:
    """How long a frame is shown; over a loop the sum is off by half a tick at most."""
    start = ticks_until(frame, rate, ticks_a_second)
    return ticks_until(frame + 1, rate, ticks_a_second) - start
