"""Statics and swing against textbook formulae."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.build.hanging import hang, swing_period, tilt_of
from glint.scene.pendulum import GRAVITY
from glint.shape.hold import hold_of
from glint.shape.weight import Mass, weigh
from tests.build.tables import OPEN_4, RAISE_3, WORKSHOP, body, scene


def test_the_pendulum_of_two_seconds_is_a_metre_less_six_millimetres():
    # The seconds pendulum at standard gravity: 0.994 m (from memory), g / pi² exactly.
    assert swing_period(GRAVITY / math.pi**2) == pytest.approx(2.0)
    assert GRAVITY / math.pi**2 == pytest.approx(0.994, abs=5e-4)


def test_a_rod_swings_about_its_end_as_a_pendulum_of_two_thirds_its_length():
    # Moment of inertia m L² / 3 about the end, L / 2 from the middle (first principles).
    length = 0.9
    stiff = swing_period(length / 2, length / math.sqrt(12))
    assert stiff == pytest.approx(2 * math.pi * math.sqrt(2 * length / (3 * GRAVITY)))


def test_a_body_leans_until_its_middle_is_below_the_hold():
    assert tilt_of(0.0, 0.1) == 0.0
    assert math.degrees(tilt_of(0.01, 0.1)) == pytest.approx(5.7106, abs=1e-4)  # atan 0.1
    assert tilt_of(0.01, 0.0) is None and tilt_of(0.0, -0.02) is None


def test_a_known_offset_shows_on_the_sheet():
    cube = body("cube", by="face")
    mass = Mass(0.1, 0.0, 0.0, 0.0, np.array([0.003, 0.004, -0.004]), 0.01, 0)
    hung = hang(cube, mass, 1.5)
    assert hung.offset == pytest.approx(0.005)
    assert hung.tilt == pytest.approx(math.atan2(0.005, 0.016 + 0.004))
    assert hung.pull == pytest.approx(0.980665)
    below = math.hypot(0.005, 0.020)
    assert hung.period == pytest.approx(swing_period(1.5 + below, 0.01))


@pytest.mark.parametrize(
    ("by", "height", "holders"),
    [("vertex", math.sqrt(3) / 2, 3), ("face", 0.5, 1), ("edge", math.sqrt(2) / 2, 2)],
)
def test_the_hold_of_a_cube(by, height, holders):
    hold = hold_of(body("cube", by=by))
    assert (hold.height, hold.kind) == (pytest.approx(0.032 * height), by)
    assert len(hold.panels) == len(set(hold.panels)) == holders
    assert hold.places == pytest.approx(np.tile([0.0, 0.0, hold.height], (holders, 1)))


def test_a_box_without_its_lid_hangs_by_a_bar_across():
    box = body("cube", (OPEN_4,), by="opening")
    hold = hold_of(box)
    assert (hold.height, hold.kind, len(hold.panels)) == (pytest.approx(0.016), "opening", 4)
    # In the middle of each side of the rim: half a panel out, level with the lid.
    assert np.linalg.norm(hold.places[:, :2], axis=1) == pytest.approx(0.016)
    assert hold.places[:, 2] == pytest.approx(0.016)
    hung = hang(box, weigh(box, 0.002, WORKSHOP), 1.0)
    assert hung.offset == pytest.approx(0.0, abs=1e-12)
    assert hung.share == pytest.approx(hung.pull / 4)


def test_a_spiked_ball_is_held_in_the_valley_where_its_axis_comes_out():
    spiked = body("icosahedron", (RAISE_3,), by="vertex")
    hold = hold_of(spiked)
    # Circumscribed radius of the icosahedron: sin(2 pi / 5) edges (Coxeter); two panels of each of
    # five pyramids meet there.
    assert hold.height == pytest.approx(0.032 * math.sin(2 * math.pi / 5))
    assert (hold.kind, len(hold.panels)) == ("vertex", 10)


def test_a_side_left_off_tilts_the_ball_towards_the_other():
    lame = body("cube", (OPEN_4,), by="vertex")
    mass = weigh(lame, 0.002, WORKSHOP)
    hung = hang(lame, mass, 1.0)
    assert hung.offset > 0.002
    assert hung.tilt == pytest.approx(math.atan(hung.offset / (hung.hold.height - mass.centre[2])))


def test_a_ring_laid_ball_hangs_by_a_pole():
    ball = scene({"shape": {"base": "rings", "diameter_m": 0.3}}).balls[0]
    assert hold_of(ball.body).kind == "pole"
