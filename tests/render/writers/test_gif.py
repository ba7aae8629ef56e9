"""How long the frames of a GIF are shown, by its clock of whole hundredths of a second."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image, ImageSequence

from glint.render.writers.gif import due
from glint.render.writers.movie import write_movie


@pytest.mark.parametrize("rate", [Fraction(30), Fraction(24), Fraction(24000, 1001)])
def test_no_frame_is_late_or_early_by_more_than_half_a_tick(rate):
    for frame in range(200):
        assert abs(due(frame, rate) - frame * 100 / rate) <= Fraction(1, 2)


def test_delays_read_back_sum_up_to_the_time_of_the_loop(tmp_path):
    def frames():
        return iter(np.random.default_rng(1).integers(0, 256, (24, 8, 8, 3), dtype=np.uint8))

    write_movie(tmp_path / "a.gif", frames, 24, 24)
    with Image.open(tmp_path / "a.gif") as movie:
        delays = [frame.info["duration"] for frame in ImageSequence.Iterator(movie)]
    assert set(delays) == {40, 50} and sum(delays) == 1000
