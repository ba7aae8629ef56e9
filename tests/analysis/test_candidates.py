"""Candidates: the same evening, another ball; and who wins on what."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from glint.analysis.averaging import Figure
from glint.analysis.candidates import (
    candidates_of,
    catalogue_candidates,
    told_apart,
    unlike,
)
from glint.analysis.definitions import definition_of
from glint.analysis.measure import Measures
from glint.analysis.verdict import counted, in_plain_words, sentences, wins
from glint.errors import SceneError, UsageError
from glint.scene.build import build
from glint.schema.read import scene_of

EVENING = {
    "room": {"radius_m": 3.0},
    "ball": [{"name": "guest", "shape": {"base": "cube"}, "hang": {"at_m": [0.2, 0.1]}}],
    "lamp": [{"at_m": [2.0, 0.0, 1.0], "aim": "guest"}],
    "candidate": [
        {"name": "eight", "shape": {"base": "octahedron"}, "tile": {"edge_mm": 20.0}},
        {"shape": {"base": "snub cube", "steps": [{"do": "open", "sides": 4}]}},
    ],
}


def test_candidates_share_room_lamps_hanging_point_and_motion():
    file = scene_of(EVENING)
    first, second = candidates_of(file)
    assert [first.title, second.title] == ["eight", "candidate 2"]
    assert first.ball[0].tile.edge_mm == 20.0
    assert second.ball[0].tile.edge_mm == 25.0
    assert (first.ball[0].hang.by, second.ball[0].hang.by) == ("vertex", "opening")
    for one in (first, second):
        assert one.ball[0].hang.at_m == (0.2, 0.1)
        assert one.ball[0].hang.height_m == file.ball[0].hang.height_m
        assert (one.room, one.lamp) == (file.room, file.lamp)
    assert unlike([first, second]) == []
    assert [len(build(one).balls[0].body.tile_sides) for one in (first, second)] == [8, 37]


def test_a_scene_without_candidates_is_its_own():
    tables = {key: value for key, value in EVENING.items() if key != "candidate"}
    file = scene_of(tables)
    assert candidates_of(file) == [file]


def test_what_differs_is_told():
    file = scene_of(EVENING)
    other = scene_of({**EVENING, "lamp": [{"at_m": [2.0, 0.5, 1.0]}], "visible_contrast": 0.3})
    assert unlike([file, other]) == ["lamps", "visible_contrast"]


def test_the_catalogue_gives_what_the_stock_makes_and_no_more():
    found = catalogue_candidates(scene_of(EVENING), 20, 6)
    names = {one.title for one in found}
    assert {"tetrahedron", "cube", "icosahedron"} <= names
    assert "snub cube" not in names
    for one in found:
        sides = build(one).balls[0].body.tile_sides
        assert (sides == 3).sum() <= 20
        assert (sides == 4).sum() <= 6
    with pytest.raises(UsageError, match="3 triangles and 0 squares"):
        catalogue_candidates(scene_of(EVENING), 3, 0)


@pytest.mark.parametrize(
    "candidate, message",
    [
        ({"shape": {"base": "rings"}}, r"\[\[candidate\]\] 1 shape.diameter_m"),
        ({"shape": {"base": "cube"}, "by": "opening"}, r"\[\[candidate\]\] 1 by"),
        ({"shape": {"base": "cube"}, "tile": {"edge_mm": 99.0}}, r"\[\[candidate\]\] 1 tile.edge"),
        ({"name": "x"}, r"\[\[candidate\]\] 1 shape"),
    ],
)
def test_a_bad_candidate_is_told_of(candidate, message):
    with pytest.raises(SceneError, match=message):
        scene_of({**EVENING, "candidate": [candidate]})


def measures(title, **means):
    figures = {key: Figure(value, value, value, 0.01) for key, value in means.items()}
    return Measures(
        title, 60, 60, 90.0, 500.0, 0.2, figures, (), (), np.zeros((64, 64)), 32, 4, 360.0, True
    )


def test_the_best_at_each_measure_is_named_and_the_level_beside_it():
    a = measures("a", spots=50.0, unevenness=1.0, gap_deg=30.0)
    b = measures("b", spots=90.0, unevenness=1.005, gap_deg=20.0)
    c = measures("c", spots=60.0, unevenness=2.0, gap_deg=20.1)
    found = {win.key: win for win in wins([a, b, c])}
    assert (found["spots"].number, found["spots"].tied) == (1, ())
    assert (found["unevenness"].number, found["unevenness"].tied) == (0, (1,))
    assert (found["gap_deg"].number, found["gap_deg"].tied) == (1, (2,))
    text = in_plain_words([a, b, c])
    assert "“b” throws the most visible spots (90) and leaves the smallest dark gap (20°" in text
    assert "level with “c”" in text
    assert "“c” comes first at none of these." in text


def test_the_verdict_reads_as_a_sentence():
    all_level = [measures(name, spots_per_gram=0.25, cover_share=0.5) for name in "abcd"]
    better = measures("e", spots_per_gram=0.5, cover_share=0.501)
    first, rest = sentences([*all_level, better])
    assert first == ("“e” makes the most of its weight (0.5 a gram).")
    assert rest == "“a”, “b”, “c” and “d” come first at none of these."
    worse = measures("f", spots_per_gram=0.1, cover_share=0.1)
    told = in_plain_words([*all_level, worse])
    assert "lights most overhead at an instant (50 %, level with “b”, “c” and 1 more)" in told


def test_where_all_are_level_nobody_wins():
    same = [measures(name, spots=50.0) for name in "ab"]
    assert wins(same) == []
    assert "No candidate is better" in in_plain_words(same)
    assert "One scene alone" in in_plain_words(same[:1])
    assert all(definition_of(key).better for key in counted())
    assert wins([replace(same[0], figures={}), same[1]]) == []


def test_equal_titles_are_told_apart_by_as_much_of_the_path_as_it_takes():
    first, other = (scene_of(EVENING, Path(name)) for name in ("x/a.toml", "y/b.toml"))
    assert [one.title for one in told_apart([first, other])] == [
        f"{first.title} (a.toml)",
        f"{first.title} (b.toml)",
    ]
    namesake = scene_of(EVENING, Path("y/a.toml"))
    titles = [one.title for one in told_apart([first, namesake, first])]
    marks = ["(x/a.toml)", "(y/a.toml)", "(x/a.toml, 2)"]
    assert titles == [f"{first.title} {mark}" for mark in marks]
    lone = first.replaced(title="alone")
    assert told_apart([lone, other]) == [lone, other]
