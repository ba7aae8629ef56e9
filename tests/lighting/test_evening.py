"""Whole scenes: light is accounted for, symmetric bodies repeat, and bad places are told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import glint
from glint.errors import SceneError
from glint.lighting.energy_balance import audit
from glint.lighting.illumination import light, spots
from glint.scene.build import build
from glint.schema.read import scene_of

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def evening(**ball):
    tables = {"room": {"radius_m": 3.0}, "ball": [{"shape": SPIKED, **ball}]}
    return build(scene_of(tables))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_lumen_is_found_again(path):
    for row in audit(glint.load(path).at(degrees=10)):
        assert abs(row.closure) < 1e-3
        assert row.caught >= 0.0


def test_two_balls_that_shade_each_other_lose_no_light():
    scene = {
        "room": {"radius_m": 3.0},
        "ball": [
            {"shape": SPIKED, "hang": {"height_m": 1.8, "at_m": [0.0, 0.0]}},
            {"shape": SPIKED, "hang": {"height_m": 1.85, "at_m": [-0.13, 0.0]}},
        ],
        "lamp": [{"at_m": [2.0, 0.0, 1.6]}],
    }
    (row,) = audit(build(scene_of(scene)).at(degrees=0))
    assert abs(row.closure) < 1e-3


def test_spots_carry_the_light_that_leaves_the_tiles():
    pose = evening().at(degrees=7)
    found, _ = glint.beams(pose)
    assert sum(spot.lumens for spot in spots(pose)) == pytest.approx(found.lumens.sum(), rel=3e-3)


def test_a_symmetric_body_looks_the_same_after_its_share_of_a_turn():
    scene = evening()
    order = scene.balls[0].body.symmetry
    assert order == 5
    # Windows are cut up in another order after the turn, and coarse texels sample the pieces a
    # little differently: to one per cent of the brightest.
    maps = [light(scene.at(degrees=d), 256)["dome"].lux for d in (11.0, 11.0 + 360.0 / order)]
    assert np.allclose(maps[0], maps[1], atol=1e-2 * maps[0].max())
    other = light(scene.at(degrees=11.0 + 180.0 / order), 256)["dome"].lux
    assert not np.allclose(maps[0], other, atol=1e-2 * maps[0].max())


def test_seconds_and_degrees_agree():
    scene = evening(motion={"rpm": 3.0})
    assert scene.at(seconds=5.0).angles == pytest.approx(scene.at(degrees=90.0).angles)


def test_a_ball_through_the_fabric_is_refused():
    with pytest.raises(SceneError, match=r"\[\[ball\]\] 1 hang.height_m.*radius"):
        evening(hang={"height_m": 2.99})


def test_a_lamp_inside_a_ball_is_refused():
    scene = {
        "room": {"radius_m": 3.0},
        "ball": [{"shape": SPIKED, "hang": {"height_m": 1.5}}],
        "lamp": [{"at_m": [0.0, 0.0, 1.52], "aim": [0.0, 0.0, 0.0]}],
    }
    with pytest.raises(SceneError, match=r"\[\[lamp\]\] 1 at_m.*outside the ball"):
        build(scene_of(scene))
