"""A few hundred of the made-up cases; thousands: `python -m tests.fuzz --cases 10000`."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glint.errors import SceneError
from glint.lighting.energy_balance import audit
from glint.lighting.illumination import light, spots
from glint.render.still import draw
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.fuzz.cases import KINDS, figures_hold, run_case
from tests.fuzz.commands import SHARES as COMMANDS

SEED = 20


@pytest.mark.parametrize(
    "kind, count, built_at_least",
    [("odd", 30, 5), ("mesh", 60, 5), ("lamp", 50, 5), ("wrong", 60, 0), ("text", 60, 0)],
)
def test_made_up_cases(kind, count, built_at_least):
    ended = [run_case(kind, Random(f"{SEED} {number} {kind}")) for number in range(count)]
    assert "refused" in ended
    assert ended.count("built") >= built_at_least


def test_most_evenings_can_be_built():
    ended = [run_case("evening", Random(f"{SEED} {number} evening")) for number in range(15)]
    assert ended.count("built") >= 9


@pytest.mark.parametrize("command", COMMANDS)
def test_commands_over_evenings(command):
    count = 2 if command in ("compare", "place") else 4
    ended = [run_case(command, Random(f"{SEED} {number} {command}")) for number in range(count)]
    # Few made-up searches can keep people's heads clear of what hangs.
    assert "done" in ended or command == "place"


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.randoms(note_method_calls=False), st.sampled_from(sorted({*KINDS} - {"crowd"})))
def test_cases_that_hypothesis_makes_up(random, kind):
    run_case(kind, random)


CUBE = {"shape": {"base": "cube"}, "hang": {"height_m": 2.0, "by": "face"}}
MADE = {"room": {"radius_m": 4.0}, "tile": {"thickness_mm": 1.0}}
HALF = 0.016  # of a panel's edge, m


def built(balls=(CUBE,), lamps=({},), **tables):
    return build(scene_of({**MADE, **tables, "ball": list(balls), "lamp": list(lamps)}))


@pytest.mark.parametrize(
    "lamp",
    [
        {"at_m": [3.0, 0.0, 2.0 + HALF]},
        {"at_m": [3.0, 0.0, 2.0 + HALF + 0.001], "lens_mm": 1.0},
        {"at_m": [3.0, HALF, 2.0]},
        {"at_m": [0.0, 0.0, 0.001]},
        {"at_m": [0.0, 0.0, 3.9], "beam_deg": 160.0},
        {"at_m": [0.06, 0.0, 2.0], "lens_mm": 1.0},
        {"at_m": [0.5, 0.0, 2.0], "lens_mm": 900.0},
        {"at_m": [3.0, 0.0, 2.0], "beam_deg": 0.1, "field_deg": 0.100001},
    ],
    ids=["level with panels", "in the plane of a tile", "edge on", "right below", "right above",
         "all but touching", "a lens as wide as the way", "all but a laser"],
)  # fmt: skip
def test_lamps_in_odd_places(lamp):
    for number in range(3):
        figures_hold(built(lamps=[lamp]), Random(number))


def test_a_lamp_in_the_plane_of_a_tile_lights_nothing_with_it():
    level = built(lamps=[{"at_m": [3.0, 0.0, 2.0 + HALF + 0.001], "lens_mm": 1.0}])
    assert not [spot for spot in spots(level.at(degrees=0.0)) if spot.z > 2.1]
    above = built(lamps=[{"at_m": [2.5, 0.0, 2.5], "lens_mm": 1.0}])
    assert [spot for spot in spots(above.at(degrees=0.0)) if spot.z > 2.1]


@pytest.mark.parametrize(
    "balls, lamps, message",
    [
        ([CUBE], [{"at_m": [0.0, 0.0, 2.001]}], 'a point outside the ball "ball 1"'),
        ([CUBE], [{"at_m": [0.0, 0.0, 2.0]}], "other than the lamp's own"),
        ([CUBE], [{"lens_mm": 0.0}], "a number of millimetres from 1 to 2000"),
        ([CUBE | {"hang": {"height_m": HALF * math.sqrt(3.0), "by": "vertex"}}], [{}],
         "m from the nearest surface"),
        ([CUBE], [{}] * 1001, "a list of at most 1000 tables"),
        ([CUBE] * 33, [{}], "a list of 1 to 32 tables"),
        ([{"shape": {"base": "rings", "diameter_m": 1.0, "gap_mm": 0.0}, "tile": {"edge_mm": 4.0}}],
         [{}] * 1000, "at most 4000 tiles in all among so many lamps"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(balls, lamps, message):
    with pytest.raises(SceneError, match=message.replace("[", r"\[")):
        built(balls, lamps)


def test_a_ball_that_all_but_touches_the_floor():
    low = CUBE | {"hang": {"height_m": HALF * math.sqrt(3.0) + 1e-9, "by": "vertex"}}
    figures_hold(built([low]), Random(1))


@pytest.mark.parametrize(
    "at_m, message",
    [
        ([0.0, 0.0, 2.0], 'found [0, 0, 2]; allowed: a point outside the ball "ball 1"'),
        ([0.0, HALF, 2.0], 'a point outside the ball "ball 1"'),
        ([30.0, 0.0, 1.0], "found [30, 0, 1]; allowed: a point inside the room"),
        ([0.0, -1.0, -0.1], "a point inside the room"),
    ],
)
def test_an_eye_that_is_nowhere_to_be(at_m, message):
    scene = built(eye={"at_m": at_m, "look_m": [1.0, 0.0, 1.0]})
    light(scene.at(degrees=0.0), 32)  # nobody looks: no matter
    with pytest.raises(SceneError) as told:
        draw(scene.at(degrees=0.0), "eye", (64, 64))
    assert "[eye] at_m: found [" in str(told.value) and message in str(told.value)


def test_two_balls_in_one_place():
    figures_hold(built([CUBE, {**CUBE, "name": "the other"}]), Random(1))


def test_thirty_two_balls():
    balls = [
        {**CUBE, "hang": {"height_m": 2.0, "at_m": [n % 8 * 0.2, n // 8 * 0.2]}} for n in range(32)
    ]
    figures_hold(built(balls), Random(1))


def test_a_thousand_lamps_are_as_bright_as_one_a_thousand_times_over():
    lamp = {"at_m": [2.0, 0.0, 1.0], "beam_deg": 30.0}
    many, one = built(lamps=[lamp | {"peak_cd": 2.0}] * 1000), built(lamps=[lamp])
    maps, alone = (light(scene.at(degrees=20.0), 32) for scene in (many, one))
    # The default peak, 20,000 cd, is ten times theirs together.
    for name, found in maps.items():
        assert np.allclose(found.lux * 10.0, alone[name].lux, rtol=1e-3, atol=1e-4)


def test_a_lamp_file_beyond_reason_is_refused(tmp_path):
    lines = ["IESNA:LM-63-2002", "TILT=NONE", "1 1000 1e12 2 1 1 2 0 0 0", "1 1 100", "0 45", "0"]
    (tmp_path / "quince.ies").write_text("\n".join([*lines, "1e12 0"]))
    tables = MADE | {"ball": [CUBE], "lamp": [{"file": "quince.ies"}]}
    with pytest.raises(SceneError, match=r"of 1e\+24 cd at its peak; allowed: at most 1e\+09 cd"):
        build(scene_of(tables, tmp_path / "s.toml"))


def test_a_thousand_lamps_of_many_planes_are_refused(tmp_path):
    planes = " ".join(f"{2 * k}" for k in range(181))
    lines = ["IESNA:LM-63-2002", "TILT=NONE", "1 1000 1 2 181 1 2 0 0 0", "1 1 100", "0 45", planes]
    (tmp_path / "quince.ies").write_text("\n".join([*lines, *["9 0"] * 181]))
    tables = MADE | {"ball": [CUBE], "lamp": [{"file": "quince.ies"}] * 200}
    with pytest.raises(SceneError, match="181 planes of candela, among 200 lamps; allowed: at"):
        build(scene_of(tables, tmp_path / "s.toml"))


def test_the_audit_of_a_scene_in_the_open_closes():
    (row,) = audit(built().at(degrees=10.0), 512)
    assert abs(row.closure) < 0.002
