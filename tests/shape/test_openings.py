"""Openings between panels: exact, and without gap or overlap."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.shape import polygons
from glint.shape.bases import solid
from glint.shape.openings import CORNER, FACE, HOLE, SEAM, cut_open
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron, scaled, volume
from glint.shape.steps.raising import raise_faces


def closing(cut):
    """Area vectors and six times the volumes of panels and openings, summed."""
    area, bulk = np.zeros(3), 0.0
    shapes = [cut.panels, Polygons(cut.openings.corners, cut.openings.sides)]
    for shape, keep in zip(shapes, (slice(None), cut.openings.kind != HOLE), strict=True):
        vectors = polygons.area_vectors(shape)[keep]
        area += vectors.sum(axis=0)
        # About its middle, a ring that is not flat encloses with its triangles what its area
        # vector says, as they share that middle.
        bulk += 2 * (polygons.centres(shape)[keep] * vectors).sum()
    return area, bulk


@pytest.mark.parametrize("name", ["tetrahedron", "cube", "icosahedron", "cuboctahedron"])
def test_panels_and_openings_close_the_body(name):
    body = scaled(solid(name), 0.04)
    cut = cut_open(body, 0.003, 0.006, 0.0, 0.0)
    area, bulk = closing(cut)
    assert area == pytest.approx(np.zeros(3), abs=1e-15)
    # Seams and corner holes lie inside the edges, so a little of the volume is cut off.
    assert 0.9 < bulk / 6 / volume(body) < 1.0


@pytest.mark.parametrize("name", ["tetrahedron", "cube", "dodecahedron"])
def test_a_seam_is_as_wide_as_its_chord(name):
    # Two panels at a dihedral angle a, each drawn in by s / 2, are s sin(a / 2) apart.
    angle = {
        "tetrahedron": math.acos(1 / 3),
        "cube": math.pi / 2,
        "dodecahedron": math.acos(-1 / math.sqrt(5)),
    }[name]
    cut = cut_open(scaled(solid(name), 0.04), 0.002, 0.0, 0.0, 0.0)
    seams = cut.openings.corners[cut.openings.kind == SEAM]
    wide = np.linalg.norm(seams[:, 1] - seams[:, 2], axis=1)
    assert wide == pytest.approx(np.full(len(seams), 0.002 * math.sin(angle / 2)))
    assert cut.openings.flat.all()


def test_corners_cut_off_a_cube_leave_equilateral_triangles():
    # A cut c along each side of the three faces: a triangle of side c sqrt 2.
    cut = cut_open(scaled(solid("cube"), 0.1), 0.0, 0.01, 0.0, 0.0)
    assert (cut.openings.kind == CORNER).all() and len(cut.openings.kind) == 8
    side = 0.01 * math.sqrt(2)
    assert cut.openings.areas == pytest.approx(np.full(8, math.sqrt(3) / 4 * side**2))
    panels = np.linalg.norm(polygons.area_vectors(cut.panels), axis=1)
    assert panels == pytest.approx(np.full(6, 0.1**2 - 4 * 0.5 * 0.01**2))


def test_a_bent_ring_is_as_large_as_what_can_pass_it():
    # Pyramids on the squares of a cuboctahedron make an octahedron. Cut by c, the six corners of 60
    # degrees that meet in the middle of its edge leave three triangles of c**2 sqrt 3 / 4 on either
    # side. The two halves lie askew, by half of what 109.47 degrees (Coxeter) lack to 180, to the
    # ring as a whole, and no more light can pass than its rim lets through.
    body = raise_faces(scaled(solid("cuboctahedron"), 0.05), 4)
    openings = cut_open(body, 0.0, 0.004, 0.0, 0.0).openings
    bent = ~openings.flat
    assert bent.sum() == 12
    half = 3 * math.sqrt(3) / 4 * 0.004**2
    assert openings.areas[bent] == pytest.approx(
        np.full(12, 2 * half * math.cos(math.radians(180 - 109.4712) / 2)), rel=1e-5
    )
    # What rises before the plane of the first corner may be in the way: all of the ring does.
    spokes = openings.corners[bent] - openings.corners[bent][:, :1]
    axes = polygons.unit(openings.corners[bent].mean(axis=1))
    assert np.einsum("nvk,nk->nv", spokes, axes).min() > -1e-12


def test_an_open_face_is_open_whole_and_its_seam_besides():
    cube = scaled(solid("cube"), 0.1)
    body = Polyhedron(cube.vertices, cube.faces[1:], cube.faces[:1])
    bare = cut_open(body, 0.0, 0.0, 0.0, 0.0).openings
    assert bare.kind.tolist() == [FACE]
    assert bare.areas[0] == pytest.approx(0.01)
    cut = cut_open(body, 0.004, 0.0, 0.0, 0.0)
    assert (cut.openings.kind == SEAM).sum() == 12
    assert closing(cut)[0] == pytest.approx(np.zeros(3), abs=1e-15)


def test_a_round_hole_has_its_area_and_stands_through_the_tile():
    body = scaled(solid("cube"), 0.1)
    cut = cut_open(body, 0.0, 0.0, 0.02, 0.003)
    assert (cut.openings.kind == HOLE).all() and len(cut.openings.kind) == 6
    assert cut.openings.areas == pytest.approx(np.full(6, math.pi / 4 * 0.02**2))
    apart = np.linalg.norm(cut.openings.corners - cut.openings.through, axis=2)
    assert apart == pytest.approx(np.full_like(apart, 0.003))


def test_seams_that_leave_nothing_are_refused():
    with pytest.raises(ValueError, match="leave nothing"):
        cut_open(scaled(solid("icosahedron"), 0.03), 0.02, 0.0, 0.0, 0.0)
