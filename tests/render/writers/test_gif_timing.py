"""How long frames are shown by clocks of whole ticks."""

from __future__ import annotations

from fractions import Fraction

import pytest

from glint.render.writers.gif_timing import ticks_of, ticks_until


@pytest.mark.parametrize("rate", [Fraction(30), Fraction(24), Fraction(24000, 1001)])
@pytest.mark.parametrize("ticks", [100, 1000])
def test_no_frame_is_late_or_early_by_more_than_half_a_tick(rate, ticks):
    for frame in range(200):
        assert abs(ticks_until(frame, rate, ticks) - frame * ticks / rate) <= Fraction(1, 2)
    assert sum(ticks_of(frame, rate, ticks) for frame in range(200)) == ticks_until(
        200, rate, ticks
    )
