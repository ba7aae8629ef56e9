"""How problems are put into words."""

from __future__ import annotations

import pytest

from glint.errors import (
    GlintError,
    LampError,
    Problem,
    SceneError,
    ShapeError,
    UsageError,
    in_words,
    nearest_spelling,
    place,
    problem_at,
    problem_of,
)


def test_one_line_a_problem():
    problems = [
        Problem("[[ball]] 2 hang.by", '"vertx"', '"vertex", "face"', "vertex"),
        Problem("", "nothing", "something"),
    ]
    assert str(SceneError("apples.toml", problems)) == (
        'apples.toml: [[ball]] 2 hang.by: found "vertx"; allowed: "vertex", "face"; '
        'did you mean "vertex"?\n'
        "apples.toml: found nothing; allowed: something"
    )


def test_what_is_left_untold_is_counted():
    assert str(SceneError("a", [], 1)) == "a: and 1 more problem"
    assert str(SceneError("a", [], 2)) == "a: and 2 more problems"


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ((), ""),
        (("title",), "title"),
        (("room", "radius_m"), "[room] radius_m"),
        (("ball", 1, "hang", "by"), "[[ball]] 2 hang.by"),
        (("ball", 0), "[[ball]] 1"),
        (("ball", 0, "shape", "steps", 2, "do"), "[[ball]] 1 shape.steps 3 do"),
        (("room", "two words"), '[room] "two words"'),
        (("room", "a\x1bb"), '[room] "a\\u001bb"'),
        (("lamp", 2, "at_m", 1), "[[lamp]] 3 at_m 2"),
    ],
)
def test_places(path, expected):
    assert place(path) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, "nothing"),
        (True, "true"),
        (4.0, "4"),
        (1 / 3, "0.333333333333"),
        (1e-7, "1e-07"),
        (12, "12"),
        (10**60, "a very large whole number"),
        (-(10**4000), "a very large whole number"),
        (float("nan"), "nan"),
        (float("-inf"), "-inf"),
        ("vertx", '"vertx"'),
        ('say "x"', '"say \\"x\\""'),
        ("a\nb\x1b", '"a\\nb\\u001b"'),
        ("\ud800", '"\\ud800"'),
        ({}, "a table"),
        ([], "[]"),
        ([1, 2.5, "x"], '[1, 2.5, "x"]'),
        (list(range(9)), "[0, 1, 2, 3, 4, 5, ...] (9 values)"),
        ([{}], "a list of 1 table"),
        ([{}, {}], "a list of 2 tables"),
        ([{}, 1], "a list of 2 values, lists or tables among them"),
        ([[1]], "a list of 1 values, lists or tables among them"),
    ],
)
def test_values_in_words(value, expected):
    assert in_words(value) == expected


def test_long_values_are_cut():
    assert len(in_words("x" * 10**6)) < 70
    assert len(in_words(["x" * 10**6] * 10)) < 260


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ("vertx", "vertex"),
        ("VERTEX", "vertex"),
        ("snub_cube", "snub cube"),
        ("Snub-Cube", "snub cube"),
        ("zzz", None),
        ("", None),
    ],
)
def test_nearest_spelling(found, expected):
    assert nearest_spelling(found, ["vertex", "face", "snub cube"]) == expected


def test_a_problem_found_while_building_reads_like_one_found_while_reading():
    problem = problem_at(("ball", 1, "hang", "height_m"), 9.0, "at most 3.1 metres here")
    assert str(problem) == ("[[ball]] 2 hang.height_m: found 9; allowed: at most 3.1 metres here")
    error = ShapeError("shape.base", '"cub"', '"cube"', "cube")
    assert str(error) == 'shape.base: found "cub"; allowed: "cube"; did you mean "cube"?'
    assert str(problem_of(("ball", 0), error)) == f"[[ball]] 1 {error}"
    assert problem_of(("ball", 0), ShapeError("shape.steps 2 do", "", "")).where == (
        place(("ball", 0, "shape", "steps", 1, "do"))
    )


def test_exit_statuses():
    assert GlintError("x").exit_status == 1
    for error in (UsageError("x"), SceneError("a", []), ShapeError("a", "b", "c")):
        assert isinstance(error, GlintError) and error.exit_status == 2
    assert LampError("file", "b", "c").exit_status == 2
