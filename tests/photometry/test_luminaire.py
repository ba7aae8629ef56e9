"""Lamps from their tables."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glint.errors import LampError
from glint.photometry.colour import LUMINANCE
from glint.photometry.intensity_table import candela_at, lumens_of
from glint.photometry.luminaire import Lamp, build_lamp, level_frame
from glint.photometry.readers.lm63 import read_lm63
from glint.schema.read import scene_of
from glint.schema.tables import LampTable
from tests.photometry.files import cosine, lamp_file

SHARED = Path(__file__).parents[2] / "shared" / "lamps"
HERE = np.array([3.0, 0.0, 1.6])
THERE = np.array([0.0, 0.0, 2.4])


def table(**keys) -> LampTable:
    tables = {"room": {"radius_m": 4.0}, "ball": [{"shape": {"base": "cube"}}], "lamp": [keys]}
    return scene_of(tables).lamp[0]


def lamp(folder: Path = SHARED, position=HERE, aim=THERE, **keys) -> Lamp:
    return build_lamp(table(**keys), position, aim, folder)


def towards(built: Lamp, direction) -> float:
    """Candela in a direction of the room."""
    x, y, z = built.frame @ (np.asarray(direction, float) / np.linalg.norm(direction))
    return float(candela_at(built.intensity, math.atan2(math.hypot(x, y), z), math.atan2(y, x)))


def refusal(**keys) -> LampError:
    with pytest.raises(LampError) as caught:
        lamp(**keys)
    return caught.value


def test_a_lamp_by_default():
    built = lamp()
    assert built.name == "lamp 1"
    assert built.lens_radius == pytest.approx(0.03)
    assert towards(built, THERE - HERE) == pytest.approx(20000.0)
    assert built.lumens == lumens_of(built.intensity)
    assert LUMINANCE @ built.colour == pytest.approx(1.0)
    assert built.colour[0] > built.colour[1] > built.colour[2]


def test_lumens_stand_in_for_the_peak():
    assert lamp(lumens=300.0).lumens == pytest.approx(300.0)


def test_a_coloured_lamp_gives_as_many_lux_as_a_white_one():
    built = lamp(colour="#0000ff")
    assert built.colour == pytest.approx([0.0, 0.0, 1 / 0.0722])


directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.hypot(*v) > 0.01)


@given(directions)
def test_the_frame_is_right_handed_and_its_first_axis_level(direction):
    axis = np.array(direction) / np.linalg.norm(direction)
    frame = level_frame(axis)
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-9)
    assert np.cross(frame[0], frame[1]) == pytest.approx(frame[2], abs=1e-9)
    assert frame[2] == pytest.approx(axis)
    assert frame[0, 2] == 0.0
    assert frame[1, 2] >= -1e-9


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_frame_of_a_lamp_that_points_straight_up_or_down(sign):
    frame = level_frame(np.array([0.0, 0.0, sign]))
    assert frame.tolist() == [[1, 0, 0], [0, sign, 0], [0, 0, sign]]


def test_a_lamp_file_that_comes_with_the_scenes():
    built = lamp(file="quince-spot.ies")
    axis = THERE - HERE
    assert towards(built, axis) == pytest.approx(24000)
    # Its own text says: beam 8 degrees, field 14 degrees.
    gammas = np.radians([4.0, 7.0])
    assert candela_at(built.intensity, gammas) == pytest.approx([12000, 2400], rel=1e-3)
    assert b"invented" in (SHARED / "quince-spot.ies").read_bytes()


def test_horizontal_angles_of_a_file_run_anticlockwise_seen_from_above(tmp_path):
    # LM-63-2002, definitions: horizontal angles of type C photometry run anticlockwise in the
    # horizontal plane, for a lamp that points straight down.
    brighter_at_ninety = lamp_file(
        (0, 60, 90), (0, 90, 180, 270, 360), lambda v, h: 100.0 if v == 0 or h == 90 else 50.0
    )
    (tmp_path / "q.ies").write_text(brighter_at_ninety)
    built = lamp(tmp_path, position=[0, 0, 3], aim=[0, 0, 1], file="q.ies")
    slope = 1 / math.tan(math.radians(60))
    found = [towards(built, [x, y, -slope]) for x, y in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    assert found == pytest.approx([50, 100, 50, 50], abs=0.1)


@pytest.mark.parametrize(
    ("aim", "share"),
    [([3, 0, 0], 1.0), ([0, 0, 1.6], 0.6), ([3, 0, 5], 0.9), ([4, 0, 0.6], 0.8)],
)
def test_a_tilted_lamp_gives_what_its_file_says(tmp_path, aim, share):
    tilt = "TILT=INCLUDE\n1\n3\n0 90 180\n1 0.6 0.9"
    (tmp_path / "q.ies").write_text(lamp_file(candela=cosine, tilt=tilt))
    built = lamp(tmp_path, aim=aim, file="q.ies")
    assert towards(built, np.array(aim) - HERE) == pytest.approx(100 * share)


def test_a_lamp_at_its_own_aim():
    error = refusal(aim=HERE)
    assert (error.key, error.found) == ("aim", "the lamp's own place")


def test_a_missing_file_is_told_with_the_nearest_name():
    error = refusal(file="quince-sopt.ies")
    assert error.key == "file"
    assert 'did you mean "quince-spot.ies"?' in str(error)


def test_a_bad_file_is_told_with_its_line(tmp_path):
    (tmp_path / "q.ies").write_text(lamp_file().replace("TILT=NONE", "TILT=x"))
    assert str(refusal(folder=tmp_path, file="q.ies")) == (
        'file: found "q.ies", line 3: "TILT=x"; allowed: "TILT=NONE", "TILT=INCLUDE"'
    )


def test_a_lamp_that_shines_backwards_is_refused(tmp_path):
    both_ways = lamp_file((0, 90, 180), candela=lambda v, _: 10.0)
    (tmp_path / "q.ies").write_text(both_ways)
    assert (
        '"q.ies", 50% of whose light goes backwards' in refusal(folder=tmp_path, file="q.ies").found
    )


@pytest.mark.parametrize("tilt", ["TILT=NONE", "TILT=INCLUDE\n1\n1\n0\n0"])
def test_a_lamp_without_light_is_refused(tmp_path, tilt):
    level = 0.0 if tilt == "TILT=NONE" else 5.0
    (tmp_path / "q.ies").write_text(lamp_file(candela=lambda *_: level, tilt=tilt))
    assert "gives no light" in refusal(folder=tmp_path, file="q.ies").found


def test_a_file_outside_the_folder_is_reached_by_dots_only(tmp_path):
    (tmp_path / "scenes").mkdir()
    path = tmp_path / "q.ies"
    path.write_text(lamp_file(candela=cosine))
    expected = read_lm63(path.read_bytes(), "q.ies").lumens()
    assert lamp(tmp_path / "scenes", file="../q.ies").lumens == pytest.approx(expected, rel=1e-4)
    absolute = LampTable(name="x", file=str(path), kelvin=3200.0)
    with pytest.raises(LampError, match="the absolute path"):
        build_lamp(absolute, HERE, THERE, tmp_path)
