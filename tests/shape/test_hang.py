"""What is up, and where the front is."""

from __future__ import annotations

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import BASES, solid
from glint.shape.hang import hanging_axis, hung
from glint.shape.polyhedron import edges, face_centres, is_convex, open_centres, panels, volume
from glint.shape.steps.opening import open_faces
from glint.shape.symmetry import rotation_order

UP = np.array([0.0, 0.0, 1.0])

NAMES = [base.name for base in BASES.values() if base.tiling == "glued"]


def on_axis(points: np.ndarray) -> np.ndarray:
    """Which of the points lie straight above the origin."""
    return (np.hypot(points[:, 0], points[:, 1]) < 1e-12) & (points[:, 2] > 0)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_asked_for_is_up(name: str):
    base = solid(name, 5 if "sides" in BASES[name].keys else None)
    by_vertex, by_face, by_edge = (hung(base, by) for by in ("vertex", "face", "edge"))
    assert on_axis(by_vertex.vertices).sum() == 1
    assert on_axis(face_centres(by_face)).sum() == 1
    assert on_axis(by_edge.vertices[edges(by_edge).ends].mean(axis=1)).sum() == 1


@pytest.mark.parametrize("name", NAMES)
def test_hanging_only_turns(name: str):
    base = solid(name, 5 if "sides" in BASES[name].keys else None)
    for by in ("vertex", "face", "edge"):
        body = hung(base, by)
        assert body.faces == base.faces
        assert np.linalg.norm(body.vertices, axis=1) == pytest.approx(
            np.linalg.norm(base.vertices, axis=1)
        )
        assert volume(body) == pytest.approx(volume(base))  # a reflection would change the sign
        assert is_convex(body)


def test_the_highest_corner_off_the_axis_is_in_front():
    for by in ("vertex", "face", "edge"):
        body = hung(solid("icosidodecahedron"), by)
        aside = body.vertices[np.hypot(*body.vertices[:, :2].T) > 1e-9]
        highest = aside[aside[:, 2] > aside[:, 2].max() - 1e-9]
        assert np.abs(np.arctan2(highest[:, 1], highest[:, 0])).min() < 1e-12


@pytest.mark.parametrize(
    ("name", "sides", "order"),
    [
        ("truncated cube", None, 4),
        ("truncated cube", 3, 3),
        ("truncated cube", 8, 4),
        ("rhombicuboctahedron", 4, 4),  # six of its squares have four-fold axes, twelve two-fold
        ("snub cube", 3, 3),  # eight of its triangles have three-fold axes, the others none
        ("snub dodecahedron", 3, 3),
        ("rhombicosidodecahedron", 4, 2),
        ("rhombicosidodecahedron", None, 5),
    ],
)
def test_the_most_symmetric_face_is_taken(name: str, sides: int | None, order: int):
    body = hung(solid(name), "face", sides)
    top = int(np.argmax(on_axis(face_centres(body))))
    assert sides is None or len(body.faces[top]) == sides
    assert rotation_order([panels(body)]) == order


def test_a_prism_hangs_by_its_end():
    for sides in (3, 5, 9):
        assert rotation_order([panels(hung(solid("prism", sides), "face"))]) == sides


def test_of_equal_axes_the_face_with_more_sides_is_taken():
    # All axes of the truncated tetrahedron's faces are three-fold.
    body = hung(solid("truncated tetrahedron"), "face")
    top = int(np.argmax(on_axis(face_centres(body))))
    assert len(body.faces[top]) == 6


def test_the_snub_cube_hangs_by_an_edge_with_a_two_fold_axis():
    assert rotation_order([panels(hung(solid("snub cube"), "edge"))]) == 2


def test_the_first_opening_is_turned_up():
    body = open_faces(solid("dodecahedron"), 5, 3)
    turned = hung(body, "opening")
    assert on_axis(open_centres(turned)).tolist() == [True, False, False]


def test_errors():
    cube = solid("cube")
    for by, sides, key, text in (
        ("opening", None, "hang.by", 'found "opening"; allowed: "vertex", "face" or "edge"'),
        ("face", 5, "hang.sides", "the sides of a face that is there: 4"),
        ("vertex", 4, "hang.sides", 'nothing unless by = "face"'),
        ("corner", None, "hang.by", '"vertex", "face", "edge" or "opening"'),
    ):
        with pytest.raises(ShapeError) as caught:
            hanging_axis(cube, by, sides)
        assert caught.value.key == key
        assert text in str(caught.value)
