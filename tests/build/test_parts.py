"""Sub-assemblies, counted by hand."""

from __future__ import annotations

from collections import Counter

import pytest

from glint.build.parts import letter, parts_of
from glint.schema.tables import HangTable, ShapeTable
from glint.shape.body import panelled
from glint.shape.catalogue import catalogue
from tests.build.tables import OPEN_4, RAISE_3


def parts(base, *steps):
    shape = ShapeTable.model_validate({"base": base, "steps": steps})
    return parts_of(shape, HangTable(height_m=2.0))


def test_a_raised_icosahedron_is_twenty_pyramids_in_four_rows():
    found = parts("icosahedron", RAISE_3)
    assert found.made == (("A", "three-sided pyramid", 20, (("triangle", 3),)),)
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
    assert parts_of(shape, HangTable(height_m=2.0)) == ((), ())


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
