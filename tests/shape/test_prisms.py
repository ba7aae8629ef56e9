"""Prisms and antiprisms: how they stand, and the two that are other solids by another name."""

from __future__ import annotations

import numpy as np
import pytest

from glint.shape.bases.prisms import antiprism, prism
from glint.shape.polyhedron import dihedral_angles, edges, face_normals, panels


@pytest.mark.parametrize("sides", range(3, 13))
def test_they_stand_upright_about_the_origin(sides: int):
    for body in (prism(sides), antiprism(sides)):
        normals = face_normals(body)
        assert normals[0] == pytest.approx([0, 0, 1], abs=1e-12)
        assert normals[-1] == pytest.approx([0, 0, -1], abs=1e-12)
        assert body.vertices.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)


@pytest.mark.parametrize("sides", range(3, 13))
def test_squares_meet_at_the_polygons_own_angle(sides: int):
    body = prism(sides)
    angles, faces = dihedral_angles(body), edges(body).faces
    upright = (panels(body).sides[faces] == 4).all(axis=1) & (np.ptp(faces, axis=1) > 0)
    inner = np.pi - 2 * np.pi / sides
    expected = {round(inner, 9), round(np.pi / 2, 9)} if sides == 4 else {round(inner, 9)}
    assert set(np.round(angles[upright], 9)) == expected


def test_square_prism_is_the_cube_and_triangular_antiprism_the_octahedron():
    assert dihedral_angles(prism(4)) == pytest.approx(np.full(12, np.pi / 2))
    assert dihedral_angles(antiprism(3)) == pytest.approx(np.full(12, np.arccos(-1 / 3)))
