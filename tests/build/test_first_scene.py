"""First scenes: made of the tiles there are, above heads, clear of each other, lit and full of
spots, whatever is answered."""

from __future__ import annotations

import itertools
import math

import pytest

import glint
from glint.build.first_scene import KINDS, Answers, first_scene
from glint.build.first_shapes import chosen_shapes
from glint.build.stock import Stock
from glint.cli.check import found_in
from glint.errors import UsageError
from glint.scene.viewpoint import require_eye
from glint.schema.read import parse, scene_of

STOCKS = [(300, 60), (60, 12), (20, 0), (0, 500), (1000, 300), (40, 200), (5000, 2000)]
CASES = [
    (room, stock, lamps, KINDS[room].across, 25.0, False)
    for room, stock, lamps in zip(itertools.cycle(KINDS), STOCKS, (3, 1, 2, 2, 4, 6, 3))
]
CASES += [
    ("dome", (300, 60), 3, 5.0, 25.0, False),
    ("bell", (300, 60), 3, 5.0, 76.0, True),
    ("hall", (300, 60), 3, 30.0, 150.0, True),
    ("yurt", (300, 60), 5, 12.0, 50.8, True),
]


def made(room, stock, lamps, across, edge, inches):
    answers = Answers(room, *stock, lamps, across, edge, inches)
    text, bodies = first_scene(answers, "evening.toml")
    file = scene_of(parse(text.encode(), "evening.toml"), "evening.toml", text)
    return text, bodies, glint.Scene.of(file)


@pytest.mark.parametrize("case", CASES, ids=lambda case: "-".join(map(str, case)))
def test_a_first_scene_is_sound(case):
    text, _, scene = made(*case)
    triangles, squares = case[1]
    assert found_in(scene)["warnings"] == []
    require_eye(scene)
    sides = [side for ball in scene.balls for side in ball.body.tile_sides]
    assert 1.05 * sides.count(3) <= triangles and 1.05 * sides.count(4) <= squares
    assert len(sides) == sides.count(3) + sides.count(4)
    for ball in scene.balls:
        assert ball.centre[2] - ball.body.radius >= 2.0
        assert scene.room.clearance(ball.centre) > ball.body.radius + 0.05
        if scene.room.pole:
            assert math.hypot(*ball.centre[:2]) > scene.room.pole + ball.body.radius
    for one, other in itertools.combinations(scene.balls, 2):
        assert math.dist(one.centre, other.centre) > one.body.radius + other.body.radius + 0.1
    assert len(scene.lamps) == case[2]
    assert ("_ft = " in text) == case[5] and ("_m = " in text.replace("per_m", "")) != case[5]
    assert text == made(*case)[0]


@pytest.mark.parametrize("room", KINDS)
def test_every_body_is_lit_and_spots_are_many(room):
    _, _, scene = made(room, (300, 60), 3, KINDS[room].across, 25.0, False)
    spots = glint.spots(scene.at(degrees=0.0))
    assert len(scene.balls) == 5 and {spot.ball for spot in spots} == {b.name for b in scene.balls}
    assert len(spots) > 300
    overhead = scene.room.overhead.names
    assert sum(spot.surface in overhead for spot in spots) > 80


def test_of_a_large_stock_most_is_used():
    for stock in ((300, 60), (1000, 300)):
        shapes = chosen_shapes(Stock(*stock, 5.0), 25.0, lambda count: 1.0)
        used = sum(one.triangles + one.squares for one in shapes)
        assert len(shapes) == 5 and used > 0.8 * sum(stock)
        assert len({one.name for one in shapes}) == 5


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        (("dome", 2, 1, 1, 8.0, 25.0), "nearest: "),
        (("bell", 3, 60, 3, 5.0, 150.0), "or a larger room (--across)"),
    ],
)
def test_what_cannot_be_made_is_told(answers, expected):
    with pytest.raises(UsageError, match="allowed: more tiles") as caught:
        first_scene(Answers(*answers), "evening.toml")
    assert expected in str(caught.value)
