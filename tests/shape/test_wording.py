"""Shapes in words and as they are written in a scene file."""

from __future__ import annotations

import tomllib

import pytest

from glint.shape.face_names import faces_left
from glint.shape.steps import step_of
from glint.shape.wording import base_in_words, shape_in_words, steps_as_toml

STEPS = (
    step_of(do="raise", sides=5),
    step_of(do="raise", sides=4, count=2),
    step_of(do="open", sides=3),
)
MORE = (
    step_of(do="cap", sides=8, turned=True),
    step_of(do="spike", sides=3, levels=2, count=1),
    step_of(do="spike", sides=3),
    step_of(do="split", sides=4, frequency=3),
    step_of(do="split", sides=3),
)


def test_steps_read_back_as_they_were():
    read = tomllib.loads(f"steps = {steps_as_toml(STEPS)}")["steps"]
    assert [step_of(**step) for step in read] == list(STEPS)
    read = tomllib.loads(f"steps = {steps_as_toml(MORE)}")["steps"]
    assert [step_of(**step) for step in read] == list(MORE)
    assert steps_as_toml([]) == "[]"


@pytest.mark.parametrize(
    ("base", "sides", "steps", "words"),
    [
        ("icosahedron", None, (), "icosahedron"),
        ("prism", 5, (), "pentagonal prism"),
        ("rings", None, (), "ring-laid ball"),
        ("geodesic", None, (), "geodesic sphere"),
        ("cube", None, STEPS, "cube, pentagons raised, 2 squares raised, 1 triangle open"),
        (
            "truncated cube",
            None,
            MORE,
            "truncated cube, octagons capped, turned, 1 triangle spiked 2 levels deep, "
            "triangles spiked, squares split by 3, triangles split by 2",
        ),
    ],
)
def test_names(base, sides, steps, words):
    assert shape_in_words(base, sides, steps) == words
    assert base_in_words(base, sides) == words.split(",")[0]


def test_faces_left():
    assert faces_left({6: 20, 5: 1}) == "1 face of 5 sides and 20 faces of 6 sides"
