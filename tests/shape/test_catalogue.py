"""The catalogue: complete, true, and every buildable row really builds."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape.bases import SOLIDS
from glint.shape.body import build_body
from glint.shape.catalogue import Entry, catalogue

BUILDABLE = [entry for entry in catalogue() if entry.buildable]


def row(name: str) -> Entry:
    (entry,) = (entry for entry in catalogue() if entry.name == name)
    return entry


def table(entry: Entry) -> ShapeTable:
    steps = tomllib.loads(f"steps = {entry.steps}")["steps"]
    return ShapeTable.model_validate({"base": entry.base, "sides": entry.sides, "steps": steps})


def test_every_base_is_there_plain_and_no_name_twice():
    names = [entry.name for entry in catalogue()]
    assert len(set(names)) == len(names)
    assert {*SOLIDS, "triangular prism", "square antiprism"} <= set(names)


@pytest.mark.parametrize(
    ("name", "triangles", "squares"),
    [
        ("cube, squares raised", 24, 0),
        ("icosahedron, triangles raised", 60, 0),
        ("rhombicosidodecahedron, pentagons raised", 80, 30),
        ("cuboctahedron", 8, 6),
        ("cuboctahedron, triangles raised", 24, 6),
        ("cuboctahedron, squares raised", 32, 0),
        ("cuboctahedron, triangles raised, squares raised", 48, 0),
        ("tetrahedron, triangles raised, triangles raised", 36, 0),
        ("pentagonal prism, pentagons raised", 10, 5),
        ("truncated tetrahedron, hexagons capped", 20, 12),
        ("truncated icosahedron, pentagons raised, hexagons capped", 140, 60),
        ("truncated icosidodecahedron, hexagons capped, decagons capped", 200, 150),
        ("tetrahedron, triangles spiked", 24, 0),
        ("icosahedron, triangles spiked 2 levels deep", 720, 0),
    ],
)
def test_what_they_take(name: str, triangles: int, squares: int):
    entry = row(name)
    assert (entry.triangles, entry.squares, entry.needs) == (triangles, squares, "")


def test_what_is_left_over():
    assert row("dodecahedron").needs == "12 faces of 5 sides left"
    assert row("truncated cube").needs == "6 faces of 8 sides left"
    assert not row("truncated cube").buildable
    assert row("truncated cube").triangles == 8


def test_bodies_that_cut_themselves_are_left_out():
    names = [entry.name for entry in catalogue()]
    assert "octahedron, triangles raised, triangles raised" not in names
    assert "icosahedron, triangles raised, triangles raised" not in names
    assert "cube, squares raised, triangles raised" in names


def test_orders():
    assert row("icosahedron, triangles raised").symmetry == (5, 3, 2)
    assert row("cube").symmetry == (3, 4, 2)
    assert row("triangular prism").symmetry.face == 3
    # Raising both ends of this antiprism makes an icosahedron, with new axes through old corners.
    assert row("pentagonal antiprism, pentagons raised").symmetry == (5, 5, 2)


def test_diameter_in_panel_edges():
    # Twice the circumradius: sqrt(3) for a cube, sqrt(2) for an octahedron (Euclid XIII.14, 15).
    assert row("cube").diameter == pytest.approx(np.sqrt(3))
    assert row("octahedron").diameter == pytest.approx(np.sqrt(2))


@pytest.mark.parametrize("entry", BUILDABLE, ids=lambda entry: entry.name)
def test_buildable_rows_build(entry: Entry):
    for place, by in enumerate(("vertex", "face", "edge")):
        body = build_body(table(entry), TileTable(), HangTable(by=by))
        sides = body.tile_sides.tolist()
        assert (sides.count(3), sides.count(4)) == (entry.triangles, entry.squares)
        assert body.symmetry == entry.symmetry[place]
        assert body.name == entry.name
        farthest = np.linalg.norm(body.panel_corners, axis=2).max()
        assert 2 * farthest == pytest.approx(entry.diameter * 0.032)


def test_remarks_tell_what_lies_flat_and_what_touches():
    assert row("icosidodecahedron, pentagons raised").remarks == "60 joints lie flat"
    assert row("octahedron, triangles spiked 2 levels deep").remarks == "24 pairs of tips touch"
    assert row("truncated cube, octagons capped").remarks == ""


def test_most_rows_build():
    assert len(BUILDABLE) > 40
