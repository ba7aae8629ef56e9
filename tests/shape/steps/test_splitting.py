"""Splitting: counts, one edge length, shared corners, and faces that are split later."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.buildable import require_buildable
from glint.shape.joints import flat_joints, joints, rims
from glint.shape.polyhedron import area, dihedral_angles, edge_lengths, edges, is_convex, volume
from glint.shape.steps import Step, apply_steps, step_of
from glint.shape.steps.splitting import split_faces


def steps(*tables: dict) -> list[Step]:
    return [step_of(**table) for table in tables]


@pytest.mark.parametrize("frequency", [2, 3, 5])
@pytest.mark.parametrize(("base", "sides"), [("icosahedron", 3), ("cube", 4)])
def test_counts_and_size(base: str, sides: int, frequency: int):
    plain = solid(base)
    body = apply_steps(plain, steps({"do": "split", "sides": sides, "frequency": frequency}))
    # A flat division: frequency**2 faces and as many times the edges' parts and inner edges.
    faces, ends = len(plain.faces) * frequency**2, len(edges(plain).ends) * frequency**2
    assert (len(body.faces), len(edges(body).ends)) == (faces, ends)
    assert len(body.vertices) - ends + faces == 2  # Euler: no corner is there twice
    assert edge_lengths(body) == pytest.approx(1.0, abs=1e-12)
    assert volume(body) == pytest.approx(frequency**3 * volume(plain))
    assert area(body) == pytest.approx(frequency**2 * area(plain))
    assert is_convex(body)
    # What is not an old edge, with as many parts as the frequency, lies flat.
    assert flat_joints(body) == ends - frequency * len(edges(plain).ends)


def test_panels_turn_as_the_face_did():
    body = apply_steps(solid("cuboctahedron"), steps({"do": "split", "sides": 3, "frequency": 3}))
    angles = dihedral_angles(body)
    assert np.isclose(angles, np.pi).sum() + np.isclose(angles, np.arccos(-1 / 3**0.5)).sum() == (
        len(angles)
    )


def test_a_face_left_whole_is_named_with_the_step_that_fills_it():
    part = steps({"do": "split", "sides": 3, "frequency": 3})
    body = apply_steps(solid("cuboctahedron"), part)
    with pytest.raises(ShapeError) as caught:
        require_buildable(body)
    assert str(caught.value) == (
        "shape.steps: found 6 faces of 4 sides with edges 3 times as long are left; "
        'allowed: add { do = "split", sides = 4, frequency = 3 }'
    )
    more = steps({"do": "split", "sides": 4, "frequency": 3})
    require_buildable(apply_steps(solid("cuboctahedron"), part + more))


def test_the_largest_faces_are_taken():
    body = apply_steps(
        solid("icosahedron"),
        steps({"do": "split", "sides": 3, "count": 5}, {"do": "split", "sides": 3}),
    )
    assert len(body.faces) == 80
    require_buildable(body)
    with pytest.raises(ShapeError, match="found 16; allowed: 1 to 15, the largest faces of 3"):
        apply_steps(
            solid("icosahedron"),
            steps(
                {"do": "split", "sides": 3, "count": 5}, {"do": "raise", "sides": 3, "count": 16}
            ),
        )


def test_twice_by_two_beside_once_by_four():
    body = solid("octahedron")
    for _ in range(2):
        body = split_faces(body, 3, 2)
    quarters = apply_steps(
        solid("octahedron"),
        steps(
            {"do": "spike", "sides": 3, "levels": 2, "count": 1},
            {"do": "split", "sides": 3, "frequency": 4},
        ),
    )
    require_buildable(quarters)
    assert len(quarters.faces) == 7 * 16 + 36
    assert len(body.faces) == 8 * 16


def test_halves_and_thirds_meet_in_sixths():
    body = apply_steps(
        solid("cuboctahedron"),
        steps(
            {"do": "split", "sides": 3, "frequency": 2},
            {"do": "split", "sides": 4, "frequency": 3},
        ),
    )
    with pytest.raises(ShapeError, match=r"32 faces of 3 sides with edges 1\.5 times"):
        require_buildable(body)
    body = apply_steps(
        solid("cuboctahedron"),
        steps(
            {"do": "split", "sides": 3, "frequency": 2},
            {"do": "split", "sides": 4, "frequency": 3},
            {"do": "split", "sides": 3, "frequency": 3},
            {"do": "split", "sides": 4, "frequency": 2},
        ),
    )
    require_buildable(body)
    assert Counter(map(len, body.faces)) == {3: 8 * 36, 4: 6 * 36}
    assert len(body.vertices) - len(edges(body).ends) + len(body.faces) == 2


def test_the_rim_of_an_opening_joins_up():
    body = apply_steps(
        solid("icosahedron"),
        steps({"do": "open", "sides": 3}, {"do": "split", "sides": 3, "frequency": 3}),
    )
    assert len(rims(body).panels) == 9
    assert len(joints(body).angles) == (19 * 9 * 3 - 9) // 2
    require_buildable(body)


def test_a_raised_pentagon_is_split_afterwards():
    body = apply_steps(
        solid("icosidodecahedron"),
        steps(
            {"do": "split", "sides": 3}, {"do": "raise", "sides": 5}, {"do": "split", "sides": 3}
        ),
    )
    require_buildable(body)
    assert len(body.faces) == 4 * 80


@pytest.mark.parametrize("sides", [5, 6])
def test_other_faces_are_refused(sides: int):
    with pytest.raises(ShapeError, match=f"shape.steps sides: found {sides}; allowed: 3 or 4"):
        split_faces(solid("truncated icosahedron"), sides)


def test_too_many_panels_are_refused():
    with pytest.raises(ShapeError, match="found 5120 panels; allowed: at most 5000"):
        split_faces(solid("icosahedron"), 3, 16)
