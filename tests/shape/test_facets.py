"""Facets of a mesh as convex panels: nothing lost, nothing bent, few pieces."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.shape import polygons
from glint.shape.convex_pieces import MOST_CORNERS
from glint.shape.facets import panelled_mesh
from glint.shape.joints import joints
from glint.shape.mesh_file import Mesh, mesh_of
from glint.shape.polyhedron import Polyhedron, area, edges, is_convex, panels, volume

STEP = shapely.Polygon([(0, 0), (3, 0), (3, 1), (1, 1), (1, 2), (0, 2)])
FRAME = shapely.box(-2, -2, 2, 2).difference(shapely.box(-1, -1, 1, 1))
STAR = shapely.Polygon(
    [((1 + i % 2) * np.cos(i * np.pi / 5), (1 + i % 2) * np.sin(i * np.pi / 5)) for i in range(10)]
)


def body_of(mesh: trimesh.Trimesh) -> Polyhedron:
    return panelled_mesh(Mesh(np.array(mesh.vertices), np.array(mesh.faces)))


def extruded(outline: shapely.Polygon) -> trimesh.Trimesh:
    return trimesh.creation.extrude_polygon(outline, 1.0)


MESHES = {
    "box": (trimesh.creation.box((3, 2, 1)), 6),
    "icosahedron": (trimesh.creation.icosahedron(), 20),
    "step": (extruded(STEP), 6 + 2 * 2),  # an L falls into two rectangles at best
    "frame": (extruded(FRAME), None),
    "star": (extruded(STAR), None),
    "cylinder": (trimesh.creation.cylinder(1.0, 2.0, sections=64), None),
    "ring": (trimesh.creation.annulus(1.0, 2.0, 1.0, sections=24), None),
    "plate with a hole, finely cut": (
        extruded(shapely.Point(0, 0).buffer(4).difference(shapely.Point(1, 0).buffer(1)))
        .subdivide()
        .subdivide(),
        None,
    ),
    "torus": (trimesh.creation.torus(3.0, 1.0), 1024),
}


@pytest.mark.parametrize(("mesh", "count"), MESHES.values(), ids=MESHES.keys())
def test_nothing_is_lost(mesh: trimesh.Trimesh, count: int | None):
    body = body_of(mesh)
    assert volume(body) == pytest.approx(mesh.volume)
    assert area(body) == pytest.approx(mesh.area)
    assert count is None or len(body.faces) == count
    assert len(body.faces) < len(mesh.faces) or len(mesh.faces) == 20
    assert (edges(body).faces >= 0).all()  # it closes, with all that lies on its edges
    genus = 1 - mesh.euler_number // 2
    assert genus in (0, 1)


@pytest.mark.parametrize(("mesh", "count"), MESHES.values(), ids=MESHES.keys())
def test_panels_are_flat_convex_and_turn_at_every_corner(mesh: trimesh.Trimesh, count):
    shapes = panels(body_of(mesh))
    assert shapes.sides.max() <= MOST_CORNERS
    normals = polygons.normals(shapes)
    for corners, sides, normal in zip(*shapes, normals, strict=True):
        ring = corners[:sides]
        assert np.abs((ring - ring[0]) @ normal).max() < 1e-9
        ways = polygons.unit(np.roll(ring, -1, axis=0) - ring)
        assert ((np.cross(np.roll(ways, 1, axis=0), ways) @ normal) > 1e-4).all()


def test_a_large_polygon_is_cut_to_what_a_window_may_have():
    body = body_of(MESHES["cylinder"][0])
    ends = [face for face in body.faces if len(face) > 4]
    assert all(len(face) <= 16 for face in ends)
    assert 2 * 5 <= len(ends) < 40  # 64 corners and 14 a piece want at least five


def test_corners_along_an_edge_do_not_keep_neighbours_apart():
    body = body_of(trimesh.creation.box((2, 2, 2)).subdivide().subdivide())
    assert [len(face) for face in body.faces] == [4] * 6
    # Each of the twelve edges is four still, all with the same two panels.
    found = joints(body)
    assert len(found.angles) == 12 * 4
    assert found.angles == pytest.approx(np.pi / 2)
    assert len({tuple(pair) for pair in np.sort(found.panels, axis=1).tolist()}) == 12


def test_the_grain_of_the_file_does_not_matter():
    coarse = extruded(FRAME)
    counts = [len(body_of(mesh).faces) for mesh in (coarse, coarse.subdivide().subdivide())]
    # Eight upright sides; a frame falls into four convex pieces at best, twice.
    assert counts[0] == counts[1] <= 8 + 2 * 6


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_any_outline_with_a_hole(seed: int):
    rng = np.random.default_rng(seed)
    number = int(rng.integers(3, 30))
    angles = np.sort(rng.uniform(0, 2 * np.pi, number))
    radii = rng.uniform(0.5, 2.0, number)
    outline = shapely.Polygon(np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1))
    hole = shapely.Point(*rng.uniform(-1, 1, 2)).buffer(0.2, quad_segs=2)
    if not outline.is_valid:
        return
    plate = outline.difference(hole)
    if plate.geom_type != "Polygon" or plate.area < 0.1:
        return
    mesh = extruded(plate)
    if not mesh.is_watertight:
        return
    try:
        sound = mesh_of(mesh.export(file_type="ply"), "ply")
    except ValueError:
        return  # a sliver, which is refused
    body = panelled_mesh(sound)
    # Sides that bend by less than 0.1 degrees count as one, so a little may go.
    assert volume(body) == pytest.approx(mesh.volume, rel=1e-3)
    assert area(body) == pytest.approx(mesh.area, rel=1e-3)
    assert (edges(body).faces >= 0).all()
    assert max(map(len, body.faces)) <= MOST_CORNERS


def test_a_convex_body_is_found_convex():
    assert is_convex(body_of(MESHES["cylinder"][0]), 1e-6)
    assert not is_convex(body_of(MESHES["step"][0]), 1e-6)


def test_a_finely_curved_surface_is_not_taken_for_flat():
    # Part of a very large cylinder: it bends by 0.09 degrees a facet, and by 36 in all.
    turn = np.radians(np.linspace(-18, 18, 401))
    arc = 100.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    fine = extruded(shapely.Polygon([*arc, (80.0, 0.0)]))
    body = body_of(fine)
    assert volume(body) == pytest.approx(fine.volume)
    for corners, sides in zip(*panels(body), strict=True):
        heights = (corners[:sides] - corners[0]) @ polygons.normals(
            polygons.Polygons(corners[None], np.array([sides]))
        )[0]
        assert np.abs(heights).max() < 0.3
