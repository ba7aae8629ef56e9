"""Lean in the wind against the pendulum in uniform wind."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from glint.build.hanging import hang
from glint.build.pages import files_of
from glint.build.sheet import sheet
from glint.build.wind import AIR, BLUFF, CUP, SPHERE, beaufort, lean_of, wind
from glint.errors import SceneError
from glint.scene.pendulum import GRAVITY
from glint.shape.weight import Mass, weigh
from tests.build.tables import OPEN_4, WORKSHOP, body, scene
from tests.markup import Markup


def hung(ball, cord=1.5):
    return hang(ball, weigh(ball, 0.002, WORKSHOP), cord)


def test_the_tangent_of_the_lean_is_drag_over_weight():
    assert lean_of(0.0, 2.0) == 0.0
    assert math.degrees(lean_of(2.0, 2.0)) == pytest.approx(45.0)
    assert math.tan(lean_of(0.7, 2.0)) == pytest.approx(0.35)


def test_a_sphere_leans_as_first_principles_say():
    ball = scene({"shape": {"base": "rings", "diameter_m": 0.5}}).balls[0].body
    found = wind(ball, hung(ball), [4.0])
    (lean,) = found.leans
    # Half rho v² c A over m g, A that of a disc of 0.5 m; tiles stand out of it by up to 2 %.
    disc = math.pi * 0.25**2
    exact = 0.5 * 1.225 * 4.0**2 * 0.47 * disc / hung(ball).pull
    assert exact < math.tan(lean.angle) < 1.02 * exact
    length = 1.5 + hung(ball).hold.height
    assert lean.reach == pytest.approx(length * math.sin(lean.angle) + ball.radius)


def test_a_gust_swings_out_twice_as_far():
    """A pendulum at rest under a constant level push, step by step (leapfrog), without damping."""
    ball = body("cube")
    mass = Mass(0.1, 0.0, 0.0, 0.0, np.zeros(3), 0.01, 0)
    still = hang(ball, mass, 1.0)
    (lean,) = wind(ball, still, [14.0]).leans
    length, push = 1.0 + still.hold.height, still.pull * math.tan(lean.angle) / mass.total
    angle = speed = 0.0
    step, most = 1e-4, 0.0
    for _ in range(40_000):
        speed += step * (push * math.cos(angle) - GRAVITY * math.sin(angle)) / length
        angle += step * speed
        most = max(most, angle)
    assert 0.1 < lean.angle < 0.7
    assert most == pytest.approx(2 * lean.angle, rel=1e-3)
    assert lean.gust == pytest.approx(length * math.sin(most) + ball.radius, rel=1e-3)


def test_past_the_height_of_the_hook_no_gust_reaches_further():
    ball = body("cube")
    light = hang(ball, Mass(0.001, 0.0, 0.0, 0.0, np.zeros(3), 0.01, 0), 1.0)
    (lean,) = wind(ball, light, [40.0]).leans
    assert lean.angle > math.pi / 4
    assert lean.gust == pytest.approx(1.0 + light.hold.height + ball.radius)


def test_lean_grows_with_the_square_of_the_wind():
    ball = body("cube")
    slow, fast = wind(ball, hung(ball), [2.0, 4.0]).leans
    assert math.tan(fast.angle) == pytest.approx(4 * math.tan(slow.angle))


@pytest.mark.parametrize(
    ("ball", "drag"),
    [
        ({"shape": {"base": "cube"}}, BLUFF),
        ({"shape": {"base": "cube", "steps": [OPEN_4]}}, CUP),
        ({"shape": {"base": "rings", "diameter_m": 0.3}}, SPHERE),
    ],
)
def test_the_drag_is_that_of_the_body_it_is_most_like(ball, drag):
    # Hoerner, Fluid-Dynamic Drag, 1965 (from memory): sphere 0.47, cube face on 1.05, cup 1.42.
    figures = json.loads(files_of(sheet(scene(ball)))["sheet.json"])
    assert figures["balls"][0]["wind"]["drag_coefficient"] == drag
    assert (SPHERE, BLUFF, CUP, AIR) == (0.47, 1.05, 1.42, 1.225)


@pytest.mark.parametrize(
    ("speed", "force"), [(0.0, 0), (0.29, 0), (2.0, 2), (5.0, 3), (8.0, 5), (10.7, 5), (40.0, 12)]
)
def test_beaufort(speed, force):
    # WMO-No. 306, code table 1100 (from memory).
    assert beaufort(speed) == force


def test_the_sheet_shows_the_winds_that_the_workshop_asks_for():
    made = files_of(sheet(scene({"shape": {"base": "cube"}}, workshop={"wind_m_s": [3, 6.5]})))
    leans = json.loads(made["sheet.json"])["balls"][0]["wind"]["leans"]
    assert [lean["wind_m_s"] for lean in leans] == [3.0, 6.5]
    page, text = Markup(made["sheet.html"].decode()).text, made["sheet.txt"].decode()
    for lean in leans:
        for told in (f"{lean['lean_deg']:.1f}°", f"{lean['gust_reach_m']:.2f} m"):
            assert told in page and told in text
    for told in ("8 m/s", "whichever is lower", "Common practice"):
        assert told in page and told in text


@pytest.mark.parametrize("winds", [[], [0.1], [41.0], list(range(1, 10)), 5.0])
def test_winds_out_of_range_are_refused(winds):
    with pytest.raises(SceneError, match=r"1 to 8 wind speeds in metres a second"):
        scene({"shape": {"base": "cube"}}, workshop={"wind_m_s": winds})
