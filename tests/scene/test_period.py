"""Balls that swing and twist: where they are, how long until they are there again, what is free."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest

from glint.errors import GlintError, SceneError
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.scene.build import build
from glint.scene.pendulum import GRAVITY
from glint.scene.period import CLOSED, cycle, exposure_time, period
from glint.schema.read import scene_of
from glint.shape.hold import hold_of

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def ball(x=0.0, cord=None, height=1.8, **motion):
    hang = {"height_m": height, "at_m": [x, 0.0]}
    if cord is not None:
        hang["cord_m"] = cord
    return {"shape": SPIKED, "hang": hang, "motion": motion}


def evening(*balls, **more):
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": list(balls), **more}))


def test_a_swinging_ball_moves_stiffly_with_its_cord():
    scene = evening(ball(rpm=2.0, swing_deg=12.0, swing_towards_deg=90.0))
    assert scene.balls[0].hook == pytest.approx([0.0, 0.0, 3.0])
    rest, pose = scene.at(degrees=0.0).scene.balls[0].centre, scene.at(seconds=0.0)
    lean = math.radians(12.0)
    assert pose.centres[0] == pytest.approx([0.0, 1.2 * math.sin(lean), 3.0 - 1.2 * math.cos(lean)])
    # Every corner keeps its distance from the hook, and its height along the cord.
    cord = (pose.centres[0] - scene.balls[0].hook) / 1.2
    along = (pose.polygons.corners - scene.balls[0].hook) @ cord
    still = scene.still_polygons.corners
    assert along == pytest.approx(1.2 - still[..., 2])
    assert np.linalg.norm(pose.polygons.corners - scene.balls[0].hook, axis=-1) == pytest.approx(
        np.linalg.norm(still + rest - scene.balls[0].hook, axis=-1)
    )
    normals = np.einsum("ij,nj->ni", pose.rotations[0], scene.still_polygons.normals)
    assert pose.polygons.normals == pytest.approx(normals)


def test_the_cord_is_measured_from_where_it_takes_hold():
    scene = evening(ball(cord=0.5, rpm=0.0, swing_deg=5.0))
    top = hold_of(scene.balls[0].body).height
    assert top > 0.02
    assert scene.balls[0].swing.length == pytest.approx(top + 0.5)
    workshop = evening(ball(rpm=0.0, swing_deg=5.0), workshop={"cord_m": 0.5})
    assert workshop.balls[0].swing.length == pytest.approx(top + 0.5)


def test_velocity_is_what_the_next_moment_shows():
    scene = evening(
        ball(rpm=3.0, swing_deg=20.0, swing_towards_deg=30.0, twist_turns=0.5, twist_period_s=7.0)
    )
    step, moment = 1e-5, 0.9
    early, late = (scene.at(seconds=moment + k * step).polygons.corners for k in (-1, 1))
    now = scene.at(seconds=moment).polygons.corners
    moving = np.cross(scene.balls[0].spin(moment), now - scene.balls[0].hook)
    assert moving == pytest.approx((late - early) / (2.0 * step), abs=1e-7)
    assert np.linalg.norm(scene.balls[0].spin(moment)) <= scene.balls[0].fastest


def test_light_of_a_leaning_ball_lands_as_geometry_says():
    """The lens mirrored in each leaning tile, by the pose's own normals (Hecht, Optics)."""
    scene = evening(ball(rpm=0.0, swing_deg=15.0))
    pose = scene.at(seconds=0.0)
    found, _ = beams(pose)
    lens = lighting_of(scene).lamp_arrays.position[0]
    single = found.bounces == 1
    assert single.sum() > 3
    for row in np.flatnonzero(single):
        tile = found.chain[row, 0]
        normal, corner = pose.polygons.normals[tile], pose.polygons.corners[tile, 0]
        mirrored = lens - 2.0 * ((lens - corner) @ normal) * normal
        assert found.apex[row] == pytest.approx(mirrored)


def test_a_single_swing_is_its_own_period():
    scene = evening(ball(rpm=0.0, swing_deg=6.0))
    assert float(period(scene)) == pytest.approx(scene.balls[0].swing.period, abs=1e-9)
    assert cycle(scene).fade == 0
    assert float(exposure_time(scene)) == pytest.approx(scene.balls[0].swing.period, abs=1e-9)


def test_a_twist_and_turns_come_together_exactly():
    # Five-fold at 1 turn a minute: 12 s; with 8 s there and back: 24 s.
    scene = evening(ball(rpm=1.0, twist_turns=2.0, twist_period_s=8.0))
    assert cycle(scene) == (Fraction(24), 0, "")
    alone = evening(ball(twist_turns=2.0, twist_period_s=8.5))
    assert alone.source.ball[0].motion.rpm == 0.0
    assert period(alone) == Fraction(17, 2)


def test_a_cord_of_the_right_length_closes_with_the_turns():
    """Small swings of 3 s: l = g (3 / 2 pi)²; with 12 s of turning they meet after 12 s. A swing of
    a tenth of a degree takes longer by 2e-7 of it, which is allowed."""
    length = GRAVITY * (3.0 / (2.0 * math.pi)) ** 2
    room = {"radius_m": 3.0, "wall_m": length + 1.4 - 3.0 if length > 1.6 else 0.0}
    turning = ball(rpm=1.0, swing_deg=0.1)
    turning["hang"]["height_m"] = 3.0 + room["wall_m"] - length
    scene = build(scene_of({"room": room, "ball": [turning]}))
    assert scene.balls[0].swing.period == pytest.approx(3.0, rel=1e-6)
    assert cycle(scene) == (Fraction(12), 0, "")


def test_a_loop_that_never_closes_is_faded_where_it_nearly_does():
    scene = evening(ball(rpm=1.0, swing_deg=6.0))
    found = cycle(scene)
    assert 30 <= found.seconds <= 60 and found.fade == 2
    assert "no common period" in found.reason
    swing, turn = scene.balls[0].swing.period, 12.0
    off = [abs(float(found.seconds) / p - round(float(found.seconds) / p)) for p in (swing, turn)]
    assert max(off) < 0.1 and max(off) > float(CLOSED)
    with pytest.raises(GlintError, match="no common period"):
        period(scene)


def test_no_more_than_a_quarter_of_a_short_loop_is_faded():
    found = cycle(evening(ball(rpm=1.0, swing_deg=6.0)), longest=6)
    assert found.seconds <= 6 and found.fade == found.seconds / 4


def test_speeds_without_a_common_period_under_a_minute_say_so():
    found = cycle(evening(ball(rpm=1.01), ball(1.0, rpm=1.03)))
    assert found.seconds <= 60 and found.fade > 0
    assert found.reason == "the pattern repeats only after 1200 s"


@pytest.mark.parametrize(
    "motion, where",
    [
        ({"swing_deg": 75.0}, r"motion\.swing_deg"),
        ({"swing_towards_deg": 3.0}, "only beside swing_deg"),
        ({"twist_turns": 3.0}, r"motion\.twist_period_s"),
        ({"twist_turn": 3.0}, "twist_turns"),
        ({"swing_deg": -1.0}, r"a number of degrees above 0, at most 80"),
    ],
)
def test_motions_that_cannot_be(motion, where):
    with pytest.raises(SceneError, match=where):
        evening(ball(1.7, **motion))


def test_what_swings_keeps_clear_of_all_along_its_way():
    # Beside the dome's foot a ball at rest is free, and its swing is not.
    beside = {"height": 1.0, "rpm": 1.0}
    evening(ball(2.0, **beside))
    with pytest.raises(SceneError, match="from a surface"):
        evening(ball(2.0, **beside, swing_deg=40.0))
    evening(ball(2.0, **beside, swing_deg=40.0, swing_towards_deg=90.0))
    # A lamp that stands in its way.
    lamp = {"lamp": [{"at_m": [0.4, 0.0, 1.85]}]}
    evening(ball(rpm=1.0), **lamp)
    with pytest.raises(SceneError, match="outside the ball"):
        evening(ball(rpm=1.0, swing_deg=20.0), **lamp)
    # Two balls that a swing knocks together, unless they keep step.
    apart = {"rpm": 1.0, "swing_deg": 15.0, "cord": 0.6}
    with pytest.raises(SceneError, match="whose middle comes within"):
        evening(ball(**apart), ball(0.2, rpm=1.0))
    evening(ball(**apart), ball(0.2, **apart))


def test_a_hook_above_the_roof_is_refused():
    with pytest.raises(SceneError, match=r"hang\.cord_m: found a cord whose hook"):
        evening(ball(cord=2.0, rpm=1.0))
