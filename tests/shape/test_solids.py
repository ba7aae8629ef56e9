"""Names, order and errors of the base solids; their measures are in tests/published."""

from __future__ import annotations

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import BASES, SOLIDS, solid
from glint.shape.bases.classical import TRIBONACCI
from glint.shape.polyhedron import face_centres, face_normals

NAMES = [base.name for base in BASES.values() if base.tiling == "glued"]


def every_solid():
    for name in NAMES:
        yield solid(name, 7 if "sides" in BASES[name].keys else None)


def test_faces_look_outward():
    for body in every_solid():
        assert ((face_normals(body) * face_centres(body)).sum(axis=1) > 0).all()


def test_order_is_settled():
    for name in SOLIDS:
        body = solid(name)
        assert (np.diff(body.vertices[:, 2]) < 1e-9).all()
        assert all(face[0] == min(face) for face in body.faces)
        assert list(body.faces) == sorted(body.faces, key=lambda face: (len(face), face))
        again = BASES[name].frame(None)
        assert again.faces == body.faces
        assert np.array_equal(again.vertices, body.vertices)


def test_vertices_cannot_be_changed_by_accident():
    with pytest.raises(ValueError, match="read-only"):
        solid("cube").vertices[0] = 0.0


def test_tribonacci_constant():
    t = TRIBONACCI
    assert t**3 == pytest.approx(t**2 + t + 1, rel=1e-14)


def test_unknown_name_offers_the_nearest():
    with pytest.raises(ShapeError) as caught:
        solid("icosahedrn")
    assert caught.value.key == "shape.base"
    assert caught.value.nearest == "icosahedron"
    assert '"icosahedrn"' in str(caught.value)
    assert '"snub cube"' in caught.value.allowed


@pytest.mark.parametrize("sides", [None, 2, 13])
def test_prism_needs_sides(sides):
    with pytest.raises(ShapeError, match="3 to 12 for a prism") as caught:
        solid("prism", sides)
    assert caught.value.key == "shape.sides"


def test_other_solids_take_no_sides():
    with pytest.raises(ShapeError, match="has its own"):
        solid("cube", 4)
