"""Long exposures: the mean of a turn, with even streaks."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

import glint
from glint.errors import GlintError
from glint.lighting.long_exposure import instants, long_exposure
from glint.scene.period import exposure_time

BALL = """
[[ball]]
name = "{name}"
shape = {{ base = "octahedron" }}
hang = {{ height_m = 1.2, at_m = [{x}, 0.0] }}
motion = {{ rpm = {rpm} }}
"""


def scene(folder, *speeds):
    rows = [BALL.format(name=f"quince {i}", x=i * 0.4, rpm=rpm) for i, rpm in enumerate(speeds)]
    path = folder / "quince.toml"
    path.write_text("[room]\nradius_m = 2.0\n" + "".join(rows))
    return glint.load(path)


def test_one_repeat_of_the_pattern_stands_for_a_whole_turn(tmp_path):
    """An octahedron hung by a vertex looks the same four times a turn: 60 s / (4 * 2)."""
    assert exposure_time(scene(tmp_path, 2.0)) == Fraction(15, 2)


def test_several_balls_take_a_turn_of_the_slowest(tmp_path):
    """10 and 15 s between repeats: 30 s together, which is half of the slowest ball's turn."""
    assert exposure_time(scene(tmp_path, 1.0, 1.5)) == 30
    # 15 and 15 / 1.07 s meet again only after 1500 s: one turn of the slowest it is.
    assert exposure_time(scene(tmp_path, 1.0, 1.07)) == 60


def test_where_nothing_turns_there_is_no_turn(tmp_path):
    with pytest.raises(GlintError, match="nothing turns"):
        long_exposure(scene(tmp_path, 0.0), 64)


def test_it_is_the_mean_of_stills(tmp_path):
    """The same instants drawn one by one, ambient from the mean."""
    turning = scene(tmp_path, 2.0)
    found = long_exposure(turning, 64, count=12)
    seconds = exposure_time(turning)
    stills = [glint.light(turning.at(seconds=float(seconds * k / 12)), 64) for k in range(12)]
    for name, exposed in found.items():
        mean = np.mean([still[name].lux for still in stills], axis=0)
        # Shadows are taken half a step later, so near their edges it is not the same.
        assert np.quantile(np.abs(exposed.lux - mean), 0.95) < 1e-4 * mean.max()
        total = exposed.lux.sum(dtype=np.float64)
        assert total == pytest.approx(mean.sum(dtype=np.float64), rel=2e-3)
        assert exposed.ambient == pytest.approx(
            np.mean([still[name].ambient for still in stills], axis=0), rel=2e-3
        )


def test_streaks_are_even(tmp_path):
    """Four times the instants change nothing much: beads would show as gaps between them. The lamp
    shines upwards, so on the floor there is nothing but streaks."""
    turning = scene(tmp_path, 2.0)
    texel = 4.0 / 160
    count = instants(turning, float(exposure_time(turning)), texel)
    once, often = (long_exposure(turning, 160, count=n)["floor"].lux for n in (count, 4 * count))
    assert often.max() > 0.1
    change = np.abs(once - often)[often > 0.1 * often.max()]
    assert change.max() < 0.03 * often.max()
    few = long_exposure(turning, 160, count=count // 8)["floor"].lux
    assert np.abs(few - often).max() > 0.1 * often.max()


def test_progress_is_told_to_the_end(tmp_path):
    told = []
    long_exposure(scene(tmp_path, 2.0), 64, lambda *step: told.append(step), count=40)
    assert told == [(32, 40), (40, 40)]
