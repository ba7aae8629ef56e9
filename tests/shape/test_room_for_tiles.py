"""Room for thick tiles in the valleys of a body."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape.body import build_body
from glint.shape.room_for_tiles import FINENESS, crowding
from glint.shape.steps import step_of

SPIKED = ShapeTable(base="icosahedron", steps=(step_of(do="raise", sides=3),))


def spiked(thickness_mm, **more):
    return build_body(SPIKED, TileTable(thickness_mm=thickness_mm, **more), HangTable(by="vertex"))


@pytest.mark.parametrize("edge, panel_edge", [(25.0, 32.0), (40.0, 44.0)])
def test_the_largest_thickness_of_a_spiked_icosahedron(edge, panel_edge):
    """Between two pyramids lies a valley of 360 degrees less the icosahedron's dihedral angle,
    acos(-sqrt(5) / 3), less twice the tetrahedron's, acos(1 / 3) (Coxeter, Regular Polytopes,
    table I). A tile whose rim stays m clear of the valley, all along, meets the plane that halves
    it at a height of m tan(half the valley); and m is the difference of the triangles' inradii.
    """
    valley = 2 * math.pi - math.acos(-math.sqrt(5) / 3) - 2 * math.acos(1 / 3)
    margin = (panel_edge - edge) / (2 * math.sqrt(3))
    wanted = 1e-3 * margin * math.tan(valley / 2)
    thick = 1.2e3 * wanted
    body = spiked(thick, edge_mm=edge, panel_edge_mm=panel_edge)
    found = crowding(body, 1e-3 * thick)
    assert found.thickness == pytest.approx(wanted, abs=2 * FINENESS)
    # One pair for each edge of the icosahedron.
    assert found.tiles.shape == (30, 2)
    assert found.panels.shape == (0, 2)


def test_the_largest_thickness_does_leave_the_tiles_clear():
    most = crowding(spiked(3.0), 3e-3).thickness
    assert most is not None
    just = crowding(spiked(1e3 * most), most)
    assert just.tiles.shape == (0, 2) and just.thickness is None


def test_convex_bodies_have_room_for_any_thickness():
    shape = ShapeTable(base="octahedron")
    body = build_body(shape, TileTable(thickness_mm=50.0), HangTable(by="vertex"))
    found = crowding(body, 0.05)
    assert not found.tiles.size and found.thickness is None


def test_a_body_without_glued_panels_is_looked_at_too():
    shape = ShapeTable(base="rings", diameter_m=0.3)
    found = crowding(build_body(shape, TileTable(), HangTable(by="vertex")), 2e-3)
    assert np.unique(found.tiles).size == 0
