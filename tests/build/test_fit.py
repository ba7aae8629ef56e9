"""What can be glued, against a valley computed by hand and against itself."""

from __future__ import annotations

import math

import pytest

from glint.build.fit import fits
from glint.build.stock import candidates
from glint.shape.tables import TileTable

BY_NAME = {entry.name: entry for entry in candidates()}


def one(name, recess=0.0, **tile):
    return fits([BY_NAME[name]], TileTable(**tile), recess)[0]


def test_convex_bodies_and_tiles_in_pockets_are_never_crowded():
    assert one("truncated cube, octagons capped", thickness_mm=10.0).can_be_glued
    thick = {"edge_mm": 32.0, "thickness_mm": 10.0}
    assert one("octahedron, triangles spiked", 10.0, **thick).can_be_glued
    assert not one("octahedron, triangles spiked", 0.0, **thick).can_be_glued


def test_the_valleys_of_the_stella_octangula():
    """Two of its faces meet in a valley at the angle of a regular octahedron's edge, outside the
    body: their tiles, in from the valley by m, touch at a height of m tan(angle / 2).

    A triangle of edge a in one of edge b is in from its sides by (b - a) / (2 sqrt 3). The
    octahedron's dihedral angle is arccos(-1/3), the tetrahedron's arccos(1/3) (Coxeter, Regular
    Polytopes, table I; from memory); between two tetrahedra put on it, a full turn less all three.
    """
    valley = 2 * math.pi - math.acos(-1 / 3) - 2 * math.acos(1 / 3)
    margin = (32.0 - 25.0) / (2 * math.sqrt(3))
    height = margin * math.tan(valley / 2)
    assert one("tetrahedron, triangles spiked", thickness_mm=0.99 * height).can_be_glued
    crowded = one("tetrahedron, triangles spiked", thickness_mm=1.5 * height)
    assert crowded.collisions >= 12  # one pair at each edge of the octahedron
    assert crowded.thickness_mm == pytest.approx(height, abs=0.002)


NAME = "snub cube, triangles raised, squares raised"
TILE = {"edge_mm": 27.0, "panel_edge_mm": 32.0, "thickness_mm": 3.0}


@pytest.mark.parametrize("key", ["edge_mm", "thickness_mm", "recess_mm", "panel_edge_mm"])
def test_what_is_said_to_fit_does_and_a_little_more_does_not(key):
    crowded = one(NAME, 0.5, **TILE)
    assert crowded.collisions > 0 and key in crowded.sizes
    for change, free in ((0.0, True), (0.11, False)):
        more = crowded.sizes[key] + (change if key in ("edge_mm", "thickness_mm") else -change)
        tile = {**TILE, "recess_mm": 0.5, key: more}
        assert one(NAME, tile.pop("recess_mm"), **tile).can_be_glued == free
    assert f"{crowded.sizes[key]:g} mm" in crowded.says


def test_joints_that_cannot_be_made_keep_a_shape_from_being_glued():
    found = one("cube", joint_deg=(100.0, 180.0))
    assert not found.can_be_glued and "90 degrees" in found.says
