"""Sub-assemblies, counted by hand."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest

from glint.build.parts import letter, parts_of, upward
from glint.schema.tables import HangTable, ShapeTable
from glint.shape.body import panelled
from glint.shape.catalogue import catalogue
from glint.shape.polyhedron import face_centres
from tests.build.tables import OPEN_4, RAISE_3, scene


def parts(base, *steps):
    shape = ShapeTable.model_validate({"base": base, "steps": steps})
    return parts_of(shape, HangTable(height_m=2.0))


def test_a_raised_icosahedron_is_twenty_pyramids_in_four_rows():
    found = parts("icosahedron", RAISE_3)
    (made,) = found.made
    assert made[:4] == ("A", "three-sided pyramid", 20, (("triangle", 3),))
    assert [row.of for row in found.rows] == [(("A", 5),)] * 4


def test_pyramids_of_pyramids_are_joined_first():
    first, second = parts("icosahedron", RAISE_3, RAISE_3).made
    assert (first.number, first.of) == (60, (("triangle", 3),))
    assert (second.number, second.of) == (20, (("A", 3),))


def test_a_face_raised_by_itself_makes_two_kinds_of_part():
    found = parts("octahedron", RAISE_3, {**RAISE_3, "count": 1})
    assert Counter((made.number, made.of) for made in found.made) == Counter(
        [(8, (("triangle", 3),)), (1, (("A", 1), ("triangle", 2)))]
    )


def test_spiked_triangles_go_by_level():
    names = {made.name: made.number for made in parts("octahedron", spike(2)).made}
    # Six small ones on each face of eight, three of them on a pyramid.
    assert names["spiked triangle, level 1"] == 48
    assert names["spiked triangle, level 2"] == 8


def test_a_cupola_carries_its_pyramid():
    found = parts("truncated dodecahedron", {"do": "cap", "sides": 10})
    assert [(m.name, m.number, m.of) for m in found.made] == [
        ("five-sided pyramid", 12, (("triangle", 5),)),
        ("five-sided cupola", 12, (("A", 1), ("triangle", 5), ("square", 5))),
    ]


def test_a_plain_solid_has_rows_of_panels_only():
    found = parts("cube", OPEN_4)
    assert found.made == ()
    assert [row.of for row in found.rows] == [(("square", 1),), (("square", 4),)]


def test_the_ring_laid_ball_has_no_parts():
    shape = ShapeTable.model_validate({"base": "rings", "diameter_m": 0.5})
    assert parts_of(shape, HangTable(height_m=2.0)) == ((), (), ())


@pytest.mark.parametrize(
    ("base", "steps"),
    [
        ("icosahedron", [RAISE_3]),
        ("octahedron", [RAISE_3, RAISE_3]),
        ("truncated dodecahedron", [{"do": "cap", "sides": 10}]),
        ("cube", [OPEN_4]),
    ],
)
def test_the_order_of_work_takes_every_panel_of_the_net_once(base, steps):
    found = parts(base, *steps)
    contents = {piece.tag: piece.of for made in found.made for piece in made.pieces}
    used: Counter[str] = Counter()

    def take(piece: str) -> None:
        used[piece] += 1
        for inner in contents.get(piece, ()):
            take(inner)

    for row in found.rows:
        assert len(row.pieces) == sum(number for _, number in row.of)
        for piece in row.pieces:
            take(piece)
    numbers = {str(n) for n in range(1, len(found.tags) + 1)}
    assert set(used) == numbers | set(contents) and set(used.values()) == {1}
    # The net shows the innermost part that lists the panel.
    for number, tag in enumerate(found.tags, start=1):
        assert (
            (str(number) in contents[tag])
            if tag
            else all(str(number) not in of for of in contents.values())
        )


def test_pieces_of_a_row_go_round_anticlockwise_from_above():
    found = parts("icosahedron", RAISE_3)
    shape = ShapeTable.model_validate({"base": "icosahedron", "steps": [RAISE_3]})
    body = panelled(shape, HangTable(height_m=2.0))
    centres = face_centres(body)
    heights, last = [], -math.inf
    for row in found.rows:
        contents = [piece.of for piece in found.made[0].pieces if piece.tag in row.pieces]
        middles = np.array([centres[[int(n) - 1 for n in of]].mean(axis=0) for of in contents])
        assert np.ptp(middles[:, 2]) < 1e-9 and middles[0, 2] > last
        last = middles[0, 2]
        heights.append(last)
        turns = np.arctan2(middles[:, 1], middles[:, 0]) % (2 * math.pi)
        assert np.diff(turns) == pytest.approx(2 * math.pi / 5)
    assert len(heights) == 4
    assert [tag for row in found.rows for tag in row.pieces] == [f"A{n}" for n in range(1, 21)]


def test_panels_of_a_sphere_go_from_the_bottom_up():
    frame = scene({"shape": {"base": "geodesic", "diameter_m": 0.3, "frequency": 3}}).balls[0].body
    order = [int(number) - 1 for number in upward(frame.frame)]
    assert sorted(order) == list(range(180))
    assert (np.diff(face_centres(frame.frame)[order, 2]) > -1e-5).all()


def spike(levels):
    return {"do": "spike", "sides": 3, "levels": levels}


@pytest.mark.parametrize("place", range(3, 100, 12))
def test_parts_add_up_to_all_panels(place):

    entry = [entry for entry in catalogue() if entry.buildable][place]
    shape = ShapeTable.model_validate(entry.name)
    found = parts_of(shape, HangTable(height_m=2.0))
    sizes: dict[str, int] = {"triangle": 1, "square": 1}
    for made in found.made:
        sizes[made.letter] = sum(sizes[what] * n for what, n in made.of)
    total = sum(sizes[what] * n for row in found.rows for what, n in row.of)
    assert total == len(panelled(shape, HangTable(height_m=2.0)).faces)
    used = Counter()
    for of in [made.of for made in found.made for _ in range(made.number)] + [
        row.of for row in found.rows
    ]:
        used.update(dict(of))
    for made in found.made:
        assert used[made.letter] == made.number


def test_letters_go_on_after_z():
    assert [letter(place) for place in (0, 25, 26, 51, 52, 702)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "AAA",
    ]
