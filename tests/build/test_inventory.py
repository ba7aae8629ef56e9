"""Kinds of tiles and panels."""

from __future__ import annotations

import numpy as np
import pytest

from glint.build.inventory import kinds
from glint.shape.polygons import Polygons
from tests.build.tables import body, scene


def test_triangles_and_squares_of_a_cuboctahedron():
    tiles = kinds(body("cuboctahedron").tiles, 5.0)
    assert [(kind.name, kind.needed, kind.with_spares) for kind in tiles] == [
        ("triangle", 8, 9),
        ("square", 6, 7),
    ]
    assert tiles[1].sides == pytest.approx([0.025] * 4)


def test_a_geodesic_sphere_of_frequency_two_has_two_kinds_of_triangle():
    ball = {"shape": {"base": "geodesic", "diameter_m": 0.6, "frequency": 2}}
    found = kinds(scene(ball).balls[0].body.panels, 0.0)
    # 20 in the middle of the icosahedron's faces and 60 at its corners.
    assert sorted(kind.needed for kind in found) == [20, 60]
    assert [kind.regular for kind in found if kind.needed == 20] == [True]


def test_turned_pieces_are_one_kind_and_mirrored_ones_are_two():
    scalene = np.array([[0, 0, 0], [4, 0, 0], [4, 3, 0]], float)
    turned = np.roll(scalene, 1, axis=0) + 7.0
    mirrored = scalene[::-1] * [-1, 1, 1]
    wrong_side = (scalene * [-1, 1, 1])[::-1]
    found = kinds(Polygons(np.stack([scalene, turned]), np.array([3, 3])), 0.0)
    assert [kind.needed for kind in found] == [2]
    both = kinds(Polygons(np.stack([scalene, mirrored, wrong_side]), np.array([3, 3, 3])), 0.0)
    assert sorted(kind.needed for kind in both) == [1, 2]


def test_a_rhombus_is_no_square():
    rhombus = np.array([[[0, 0, 0], [1, 0, 0], [1.5, 0.75**0.5, 0], [0.5, 0.75**0.5, 0]]])
    kind = kinds(Polygons(rhombus, np.array([4])), 0.0)[0]
    assert (kind.name, kind.regular) == ("4-sided piece", False)
