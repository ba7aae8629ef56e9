"""One list over all balls, and the stock held against it with spares, counted by hand."""

from __future__ import annotations

import json

import pytest

from glint.build.pages import files_of
from glint.build.sheet import sheet
from glint.build.shopping import shortages, tiles_of
from glint.errors import SceneError
from tests.build.tables import RAISE_3, scene
from tests.markup import Markup

TWENTY = {"shape": {"base": "icosahedron"}}
SIXTY = {"shape": {"base": "icosahedron", "steps": [RAISE_3]}}
CUBE = {"shape": {"base": "cube"}}


def at(x: float, ball, **more):
    return {**ball, "hang": {"at_m": [x, 0.0]}, **more}


def short(*balls, **workshop):
    return shortages(tiles_of(scene(*balls, workshop=workshop)))


def test_spares_are_counted_over_all_balls_together():
    # 20 + 60 triangles and 5 % are 84; apart they would be 21 + 63, and with 30 balls of 20
    # triangles, 630 and not 630 times a rounding up.
    rows = tiles_of(scene(at(-1, TWENTY), at(1, SIXTY)))
    assert [(row.kind.name, row.kind.needed, row.kind.with_spares) for row in rows] == [
        ("triangle", 80, 84)
    ]
    third = tiles_of(scene(at(-1, CUBE), at(0, CUBE), at(1, CUBE), workshop={"spare_percent": 5}))
    assert third[0].kind.with_spares == 19  # 18.9, and not 3 times 6.3 rounded up


def test_enough_for_all_balls_but_not_for_what_breaks_is_told():
    (line,) = short(at(-1, TWENTY), at(1, SIXTY), owned=[{"sides": 3, "count": 80}])
    assert line == (
        "80 triangle tiles of 25 mm are needed, 84 with spares, and 80 are owned: 4 short, which "
        "only spares would need"
    )
    assert short(at(-1, TWENTY), at(1, SIXTY), owned=[{"sides": 3, "count": 84}]) == ()
    (line,) = short(at(-1, TWENTY), at(1, SIXTY), owned=[{"sides": 3, "count": 79}])
    assert line.endswith("5 short")


def test_one_ball_after_the_other_would_have_enough_but_not_all():
    owned = [{"sides": 3, "count": 70}]
    assert short(SIXTY, owned=owned) == () and short(TWENTY, owned=owned) == ()
    assert len(short(at(-1, TWENTY), at(1, SIXTY), owned=owned)) == 1


def test_rows_of_the_same_tile_add_up():
    assert short(SIXTY, owned=[{"sides": 3, "count": 40}, {"sides": 3, "count": 23}]) == ()


@pytest.mark.parametrize(
    "other",
    [{"sides": 4}, {"edge_mm": 20.0}, {"thickness_mm": 3.0}],
)
def test_other_tiles_do_not_help(other):
    (line,) = short(SIXTY, owned=[{"sides": 3, "count": 1000, **other}])
    assert "0 are owned: 63 short" in line


def test_sizes_come_from_the_scenes_tile_by_themselves():
    tile = {"edge_mm": 20.0, "thickness_mm": 1.0}
    made = scene(SIXTY, tile=tile, workshop={"owned": [{"sides": 3, "count": 63}]})
    (row,) = tiles_of(made)
    assert (row.owned, row.short) == (63, 0)
    (own,) = made.workshop.owned
    assert (own.edge_mm, own.thickness_mm) == (20.0, 1.0)


def test_balls_with_tiles_of_their_own_are_listed_apart():
    large = at(1, TWENTY, tile={"edge_mm": 50.0, "panel_edge_mm": 60.0})
    rows = tiles_of(scene(at(-1, TWENTY), large, workshop={"owned": [{"sides": 3, "count": 21}]}))
    assert [(round(1e3 * row.kind.sides[0]), row.kind.needed, row.short) for row in rows] == [
        (25, 20, 0),
        (50, 20, 21),
    ]


def test_tiles_that_are_cut_are_held_against_nothing():
    ball = {"shape": {"base": "geodesic", "diameter_m": 0.3, "frequency": 2}}
    rows = tiles_of(scene(ball, workshop={"owned": [{"sides": 3, "count": 1}]}))
    assert rows and all(row.cut and row.owned is None and row.short == 0 for row in rows)


def test_nothing_owned_is_not_nothing_said():
    assert short(SIXTY) == ()
    assert len(short(SIXTY, owned=[{"sides": 3, "count": 0}])) == 1


def test_the_three_files_have_the_list():
    rings = at(0, {"name": "round", "shape": {"base": "rings", "diameter_m": 0.3}})
    workshop = {"owned": [{"sides": 3, "count": 80}]}
    whole = sheet(scene(at(-1.2, TWENTY), at(1.2, SIXTY), rings, workshop=workshop))
    made = files_of(whole)
    list_ = json.loads(made["sheet.json"])["shopping"]
    page, text = Markup(made["sheet.html"].decode()).text, made["sheet.txt"].decode()
    triangles = list_["tiles"][0]
    assert (triangles["needed"], triangles["with_spares"]) == (80, 84)
    assert (triangles["owned"], triangles["short"]) == (80, 4)
    assert list_["panels"][0]["needed"] == 80
    balls = json.loads(made["sheet.json"])["balls"]
    glue = sum(b["weight_g"]["glue_under_tiles"] + b["weight_g"]["glue_in_joints"] for b in balls)
    assert list_["glue_g"] == pytest.approx(glue)
    cords = [b["hanging"]["cord_m"] for b in balls]
    assert list_["cord_m"] == pytest.approx(sum(cords))
    assert [one["cord_m"] for one in list_["hardware"]] == cords
    assert [one["rated_kg"] for one in list_["hardware"]] == [
        pytest.approx(1e-2 * b["weight_g"]["total"]) for b in balls
    ]
    assert list_["cores_mm"] == [pytest.approx(295.7)]
    for told in (
        "80 triangle tiles of 25 mm are needed, 84 with spares, and 80 are owned: 4 short",
        f"{glue:.0f} g on the pieces",
        f"{sum(cords):.2f} m, as much again for safety lines",
        "ready-made, 295.7 mm across",
    ):
        assert told in page and told in text
    for one in list_["hardware"]:
        assert f"{one['rated_kg']:.1f} kg or more" in page
        assert f"{one['rated_kg']:.1f} kg or more: {one['ball']}" in text
    assert "for all 3 balls" in page and "for all 3 balls" in text


@pytest.mark.parametrize(
    "row", [{"sides": 2, "count": 1}, {"sides": 3}, {"sides": 3, "count": -1}, {"count": 5}]
)
def test_what_cannot_be_owned_is_refused(row):
    with pytest.raises(SceneError, match=r"\[workshop\] owned"):
        scene(SIXTY, workshop={"owned": [row]})
