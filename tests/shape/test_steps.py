"""Raising and opening: counts, heights, which faces are taken, and what is refused."""

from __future__ import annotations

from collections import Counter
from math import sqrt

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.polyhedron import edge_lengths, face_centres, open_centres, volume
from glint.shape.steps import MOST_PANELS, Step, apply_steps, highest_faces, step_of
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces


@pytest.mark.parametrize(
    ("base", "sides", "triangles", "squares"),
    [
        ("cube", 4, 24, 0),
        ("icosahedron", 3, 60, 0),
        ("rhombicosidodecahedron", 5, 80, 30),
        ("dodecahedron", 5, 60, 0),
    ],
)
def test_raised_counts(base: str, sides: int, triangles: int, squares: int):
    body = raise_faces(solid(base), sides)
    kinds = Counter(map(len, body.faces))
    assert (kinds[3], kinds[4], len(kinds)) == (triangles, squares, 1 + (squares > 0))
    assert edge_lengths(body) == pytest.approx(1.0, abs=1e-12)


def test_raised_tetrahedron_by_hand():
    # Four more tetrahedra on the faces of one: five of volume sqrt(2) / 12. Their tips lie at
    # inradius plus height, 1 / sqrt(24) + sqrt(2 / 3), from the middle.
    body = raise_faces(solid("tetrahedron"), 3)
    assert volume(body) == pytest.approx(5 * sqrt(2) / 12)
    tips = np.linalg.norm(body.vertices[4:], axis=1)
    assert tips == pytest.approx(np.full(4, 1 / sqrt(24) + sqrt(2 / 3)))


def test_raised_octahedron_is_the_compound_of_two_tetrahedra():
    # Eight tetrahedra on an octahedron: (1/3 + 8/12) sqrt(2) = sqrt(2); its tips are the corners of
    # a cube whose face diagonal is 2, so of edge sqrt(2).
    body = raise_faces(solid("octahedron"), 3)
    assert volume(body) == pytest.approx(sqrt(2))
    tips = body.vertices[6:]
    assert np.linalg.norm(tips, axis=1) == pytest.approx(np.full(8, sqrt(2) * sqrt(3) / 2))
    apart = np.linalg.norm(tips[:, None] - tips[None], axis=2)
    assert np.sort(apart, axis=1)[:, 1:4] == pytest.approx(np.full((8, 3), sqrt(2)))


def test_raised_cube_by_hand():
    # Six pyramids with slant edge 1 on unit squares: height sqrt(1/2), volume sqrt(1/2) / 3 each.
    assert volume(raise_faces(solid("cube"), 4)) == pytest.approx(1 + sqrt(2))


def test_only_the_highest_are_raised_if_counted():
    body = raise_faces(solid("cube"), 4, 1)
    assert Counter(map(len, body.faces)) == {4: 5, 3: 4}
    assert body.vertices[8] == pytest.approx([0, 0, 0.5 + sqrt(0.5)])


def test_equally_high_faces_go_by_x_then_y():
    cube = solid("cube")
    order = face_centres(cube)[highest_faces(cube, 4, None)]
    assert order == pytest.approx(
        0.5 * np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [0, -1, 0], [-1, 0, 0], [0, 0, -1]])
    )


def test_open_leaves_off_the_highest_and_remembers_it():
    body = open_faces(solid("icosahedron"), 3, 2)
    assert len(body.faces) == 18
    assert len(body.open_faces) == 2
    assert open_centres(body)[:, 2].min() >= face_centres(body)[:, 2].max() - 1e-9


def test_steps_follow_one_another():
    steps = [
        step_of(do="raise", sides=4),
        step_of(do="open", sides=3, count=3),
        step_of(do="open", sides=3),
    ]
    body = apply_steps(solid("cube"), steps)
    assert (len(body.faces), len(body.open_faces)) == (20, 4)


@pytest.mark.parametrize(
    ("base", "step", "key", "text"),
    [
        (
            "truncated octahedron",
            step_of(do="raise", sides=6),
            "shape.steps 1 sides",
            "found 6; allowed: 3, 4 or 5 (equilateral triangles on 6 sides lie flat)",
        ),
        (
            "truncated cube",
            step_of(do="raise", sides=8),
            "shape.steps 1 sides",
            "found 8; allowed: 3, 4 or 5 (equilateral triangles on 8 sides do not meet)",
        ),
        (
            "cuboctahedron",
            step_of(do="raise", sides=5),
            "shape.steps 1 sides",
            "found 5; allowed: the sides of a face that is there: 3, 4",
        ),
        (
            "cube",
            step_of(do="open", sides=3),
            "shape.steps 1 sides",
            "found 3; allowed: the sides of a face that is there: 4",
        ),
        (
            "cube",
            step_of(do="open", sides=4, count=7),
            "shape.steps 1 count",
            "found 7; allowed: 1 to 6, the faces of 4 sides that are there",
        ),
    ],
)
def test_what_is_refused(base: str, step: Step, key: str, text: str):
    with pytest.raises(ShapeError) as caught:
        apply_steps(solid(base), [step])
    assert caught.value.key == key
    assert str(caught.value) == f"{key}: {text}"
    assert caught.value.exit_status == 2


def test_leaving_off_everything_is_refused():
    with pytest.raises(ShapeError, match="found 6; allowed: at most 5, so that a panel is left"):
        open_faces(solid("cube"), 4, 6)


def test_endless_raising_is_refused():
    steps = [step_of(do="raise", sides=3)] * 16
    with pytest.raises(
        ShapeError, match=f"found 14580 panels; allowed: at most {MOST_PANELS}"
    ) as e:
        apply_steps(solid("icosahedron"), steps)
    assert e.value.key == "shape.steps 6"
