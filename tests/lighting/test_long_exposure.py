"""Long exposures: the mean of a turn, with even streaks."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

import glint
from glint.errors import GlintError
from glint.lighting.exposure_times import first_count, offset_between, prime_from
from glint.lighting.long_exposure import long_exposure
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


def mirrored(exposed, name):
    one = exposed[name]
    return (one.lux - one.direct).astype(np.float64)


def relative_error(found, exact):
    return np.sqrt(((found - exact) ** 2).mean() / (exact**2).mean())


def test_it_stops_once_its_error_is_below_the_tolerance(tmp_path):
    """The error it states, against eight times the instants. On the floor there is nothing but
    trails, for the lamp shines upwards."""
    turning = scene(tmp_path, 2.0, 3.0)
    found = long_exposure(turning, 160, tolerance=0.02)
    exact = long_exposure(turning, 160, count=16 * prime_from(found.instants // 2))
    assert 0.0 < found.error <= 0.02
    errors = [relative_error(mirrored(found, name), mirrored(exact, name)) for name in found]
    assert max(errors) < 0.02
    closer = long_exposure(turning, 160, tolerance=0.001)
    assert closer.error <= 0.001
    assert closer.instants > found.instants


def test_a_stated_error_is_near_the_true_one(tmp_path):
    turning = scene(tmp_path, 2.0, 3.0)
    few = long_exposure(turning, 160, count=106)
    exact = long_exposure(turning, 160, count=1009)
    true = max(relative_error(mirrored(few, name), mirrored(exact, name)) for name in few)
    assert true > 0.02
    assert 0.9 * true < few.error < 5.0 * true


def test_time_is_bounded(tmp_path, monkeypatch):
    monkeypatch.setattr("glint.lighting.long_exposure.MOST_INSTANTS", 64)
    told = []
    found = long_exposure(
        scene(tmp_path, 2.0, 3.0), 64, lambda *step: told.append(step), tolerance=1e-4
    )
    assert told[-1][0] <= 64
    assert found.instants <= 64
    assert found.error > 1e-4
    assert "64 instants" in found.in_words()


def test_instants_are_prime_and_follow_one_share_of_a_turn(tmp_path):
    """An octahedron looks the same four times a turn: how often it turns does not matter."""
    slow, fast = scene(tmp_path, 1.0, 1.07), scene(tmp_path, 1.0, 4.28)
    counts = [first_count(one, float(exposure_time(one)), 1e-3) for one in (slow, fast)]
    # 2 omega R for a quarter of a turn, in steps of a tile edge; R is the farther ball's.
    reach = max(slow.room.furthest(ball.centre) for ball in slow.balls)
    assert counts[0] == counts[1] == prime_from(math.ceil(math.pi * reach / 0.025))


def test_the_second_half_falls_between_the_first():
    assert abs(offset_between([1.0]) - 0.5) < 1e-3
    for repeats in ([2.0, 3.0], [4.0, 5.0, 12.0], [1.0, 1.5, 8.0]):
        offset = offset_between(repeats)
        assert all(abs(m * offset % 1.0 - 0.5) < 0.34 for m in (1.0, *repeats))


def test_primes():
    assert [prime_from(n) for n in (0, 2, 4, 90, 7908)] == [2, 2, 5, 97, 7919]


def test_trails_are_what_mirrors_throw(tmp_path):
    exposed = long_exposure(scene(tmp_path, 2.0), 64, count=12)
    assert exposed["dome"].direct.max() > 0.0
    trails = exposed.trails()
    assert np.array_equal(trails["dome"].lux, exposed["dome"].lux - exposed["dome"].direct)
    assert not trails["dome"].ambient.any()


def test_progress_is_told_to_the_end(tmp_path):
    told = []
    long_exposure(scene(tmp_path, 2.0), 64, lambda *step: told.append(step), count=40)
    assert told == [(20, 40), (40, 40)]
