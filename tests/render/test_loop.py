"""Loops written and read back by other decoders."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from PIL import Image

from glint.errors import GlintError, UsageError
from glint.render.loop import loop
from glint.scene.build import build
from glint.scene.period import period
from glint.schema.read import scene_of
from tests.movies import rate_of, read_back

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def evening(*speeds):
    balls = [
        {
            "shape": SPIKED,
            "hang": {"height_m": 1.8, "at_m": [0.3 * i, 0.0]},
            "motion": {"rpm": rpm},
        }
        for i, rpm in enumerate(speeds)
    ]
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": balls}))


def test_the_period_is_the_share_of_a_turn_that_the_symmetry_leaves():
    # Five-fold about its axis: 60 / (5 rpm) seconds.
    assert period(evening(12.0)) == Fraction(1)
    assert period(evening(12.0, -8.0)) == Fraction(3)
    assert period(evening(12.0, 0.0)) == Fraction(1)
    with pytest.raises(GlintError, match="nothing turns"):
        period(evening(0.0))
    with pytest.raises(GlintError, match="repeats only after"):
        period(evening(1.01, 1.03))


def test_an_mp4_read_back_has_the_frames_rate_and_size_and_joins(tmp_path):
    path = tmp_path / "a.mp4"
    assert loop(evening(12.0), path, fps=24, size=160).frames == 24
    frames = read_back(path).astype(float)
    assert frames.shape == (24, 160, 160, 3)
    assert rate_of(path) == pytest.approx(24)
    steps = np.abs(frames - np.roll(frames, -1, axis=0)).mean(axis=(1, 2, 3))
    assert 0.2 * np.median(steps) < steps[-1] < 3.0 * np.median(steps)


@pytest.mark.parametrize("ending, forever", [(".gif", 0), (".webp", 0), (".png", 0)])
def test_other_formats_play_for_ever(tmp_path, ending, forever):
    path = tmp_path / f"a{ending}"
    loop(evening(12.0), path, fps=10, size=96)
    with Image.open(path) as movie:
        assert movie.info["loop"] == forever
    assert len(read_back(path)) == 10


def test_a_loop_that_fails_leaves_nothing(tmp_path):
    def stop(done, total):
        if done > 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        loop(evening(12.0), tmp_path / "a.mp4", size=96, progress=stop)
    assert not list(tmp_path.iterdir())


def test_an_unknown_ending_is_refused_before_any_work(tmp_path):
    with pytest.raises(UsageError, match=r"\.mp4"):
        loop(evening(12.0), tmp_path / "a.avi")
