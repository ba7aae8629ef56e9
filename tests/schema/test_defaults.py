"""Defaults that depend on other tables."""

from __future__ import annotations

import math

import pytest

from glint.room.dome import DomeTable
from glint.schema.defaults import field_of
from glint.schema.read import scene_of

BALL = {"shape": {"base": "cube"}}


def scene(**tables):
    return scene_of({"room": {"radius_m": 4.0}, "ball": [BALL], **tables})


def test_the_shortest_scene_has_all_it_needs():
    filled = scene()
    assert filled.room.rise_m == 4.0
    ball, lamp, eye = filled.ball[0], filled.lamp[0], filled.eye
    assert (ball.name, ball.hang.height_m, ball.hang.by) == ("ball 1", pytest.approx(2.4), "vertex")
    assert (lamp.name, lamp.at_m, lamp.aim) == ("lamp 1", (3.0, 0.0, 1.6), "ball 1")
    assert (lamp.beam_deg, lamp.field_deg) == (6.0, pytest.approx(10.2))
    assert (lamp.peak_cd, lamp.lumens, lamp.file) == (20000.0, None, None)
    assert (lamp.kelvin, lamp.colour) == (3200.0, None)
    assert eye.at_m == pytest.approx((0.0, -2.8, 1.2))
    assert eye.look_m == pytest.approx((0.0, 0.5, 2.4))


def test_a_ball_with_an_open_face_hangs_by_it():
    shape = {"base": "cube", "steps": [{"do": "open", "sides": 4}]}
    assert scene(ball=[{"shape": shape}]).ball[0].hang.by == "opening"
    asked = {"shape": shape, "hang": {"by": "edge"}}
    assert scene(ball=[asked]).ball[0].hang.by == "edge"


def test_keys_of_a_balls_own_tile_stand_in_for_the_scenes():
    own = {**BALL, "tile": {"edge_mm": 20.0}}
    filled = scene(ball=[BALL, own], tile={"edge_mm": 24.0, "reflectance": 0.9})
    assert filled.ball[0].tile == filled.tile.model_copy(update={"recess_mm": 2.0})
    assert filled.ball[1].tile.edge_mm == 20.0
    assert filled.ball[1].tile.reflectance == 0.9
    back_to_default = {**BALL, "tile": {"edge_mm": 25.0}}
    assert scene(ball=[back_to_default], tile={"edge_mm": 24.0}).ball[0].tile.edge_mm == 25.0


def test_lamps_without_a_place_stand_evenly_around():
    lamps = scene(lamp=[{}, {"name": "left"}, {"at_m": [1, 1, 1]}, {}]).lamp
    azimuths = [math.degrees(math.atan2(lamp.at_m[1], lamp.at_m[0])) for lamp in lamps]
    assert azimuths == pytest.approx([0.0, 90.0, 45.0, -90.0], abs=0.05)
    assert [lamp.name for lamp in lamps] == ["lamp 1", "left", "lamp 3", "lamp 4"]


@pytest.mark.parametrize("given", [{"lumens": 500.0}, {"file": "q.ies"}, {"peak_cd": 3.0}])
def test_what_the_lamp_gives_is_not_said_twice(given):
    lamp = scene(lamp=[given]).lamp[0]
    values = {"peak_cd": lamp.peak_cd, "lumens": lamp.lumens, "file": lamp.file}
    assert {key: value for key, value in values.items() if value is not None} == given


def test_a_coloured_lamp_has_no_colour_temperature():
    assert scene(lamp=[{"colour": "#00ff00"}]).lamp[0].kelvin is None


@pytest.mark.parametrize(("radius", "rise"), [(0.5, 0.5), (0.5, 0.1), (2.0, 0.4), (100.0, 20.0)])
def test_lamp_and_eye_stand_inside_any_room(radius, rise):
    filled = scene(room={"radius_m": radius, "rise_m": rise}, lamp=[{}] * 7)
    sphere = (radius**2 + rise**2) / (2 * rise)
    points = [lamp.at_m for lamp in filled.lamp] + [filled.eye.at_m, filled.eye.look_m]
    points.append((0.0, 0.0, filled.ball[0].hang.height_m))
    for x, y, z in points:
        assert z > 0
        assert math.dist((x, y, z), (0, 0, rise - sphere)) < sphere


def test_ceiling_height_runs_from_the_rise_to_the_wall():
    room = DomeTable(radius_m=4.0, rise_m=1.5, wall_m=0.7)
    assert room.ceiling(0.0) == pytest.approx(2.2)
    assert room.ceiling(4.0) == pytest.approx(0.7)


@pytest.mark.parametrize("beam", [0.1, 6.0, 100.0, 120.0, 160.0])
def test_the_field_is_wider_than_the_beam_and_below_half_a_sphere(beam):
    assert beam < field_of(beam) < 180.0
    assert field_of(beam) <= 1.7 * beam
