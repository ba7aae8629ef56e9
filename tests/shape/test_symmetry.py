"""Orders of rotation, known from the symmetry groups of the solids."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from glint.shape import polygons, tiles
from glint.shape.bases import solid
from glint.shape.bases.rings import faceted_core, lay_rings, ring_laid_tiles
from glint.shape.hang import hung
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import panels
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces
from glint.shape.symmetry import rotation_order


def order(body, *more: Polygons) -> int:
    return rotation_order([panels(body), *more])


@pytest.mark.parametrize(
    ("name", "vertex", "face", "edge"),
    [
        # The rotation groups T, O and I (Coxeter, "Regular Polytopes", section 3.5, from memory).
        ("tetrahedron", 3, 3, 2),
        ("cube", 3, 4, 2),
        ("octahedron", 4, 3, 2),
        ("dodecahedron", 3, 5, 2),
        ("icosahedron", 5, 3, 2),
        ("cuboctahedron", 2, 4, 1),
        ("icosidodecahedron", 2, 5, 1),
        ("snub dodecahedron", 1, 5, 2),
    ],
)
def test_axes_of_the_solids(name: str, vertex: int, face: int, edge: int):
    orders = [order(hung(solid(name), by)) for by in ("vertex", "face", "edge")]
    assert orders == [vertex, face, edge]


@pytest.mark.parametrize("sides", range(3, 13))
def test_prisms_about_their_axis(sides: int):
    # The square prism is the cube, and all the same four-fold about this axis.
    assert order(solid("prism", sides)) == sides
    assert order(solid("antiprism", sides)) == sides


def test_raising_all_faces_keeps_it_and_raising_one_breaks_it():
    body = hung(solid("icosahedron"), "vertex")
    assert order(raise_faces(body, 3)) == 5
    assert order(raise_faces(body, 3, 1)) == 1
    assert order(raise_faces(hung(solid("icosahedron"), "face"), 3, 1)) == 3


def test_an_opening_on_the_axis_keeps_it_and_one_off_the_axis_breaks_it():
    assert order(open_faces(hung(solid("cube"), "face"), 4)) == 4
    assert order(open_faces(hung(solid("cube"), "vertex"), 4)) == 1
    assert order(open_faces(hung(solid("cube"), "vertex"), 4, 3)) == 3
    assert order(open_faces(solid("prism", 8), 8, 2)) == 8


def test_missing_panels_break_it_where_all_corners_are_still_there():
    drum = solid("prism", 12)
    squares = np.array([face for face in drum.faces if len(face) == 4])
    for left, expected in (
        (range(0, 12, 2), 6),
        ((0, 2, 4, 6, 8, 9, 10, 11), 1),
        ((0, 1, 2, 4, 6, 7, 8, 10), 2),
    ):
        corners = drum.vertices[squares[list(left)]]
        assert len(np.unique(np.round(corners.reshape(-1, 3), 6), axis=0)) == 24
        assert rotation_order([Polygons(corners, np.full(len(corners), 4))]) == expected


def test_tilted_tiles_break_it():
    body = hung(solid("icosahedron"), "vertex")
    mirrors = tiles.glued(panels(body), 0.8, 0.05)
    assert order(body, mirrors) == 5
    assert order(body, tiles.tilted(mirrors, 1e-5, 1)) == 1


def test_one_tile_turned_in_its_plane_breaks_it():
    body = hung(solid("cube"), "face")
    mirrors = tiles.glued(panels(body), 0.8, 0.05)
    top = int(np.argmax(polygons.centres(mirrors)[:, 2]))
    side = int(np.argmax(polygons.centres(mirrors)[:, 0]))
    # A square on the axis may stand at any angle, but not a tile at the side.
    for tile, expected in ((top, 4), (side, 1)):
        middle = polygons.centres(mirrors)[tile]
        turn = Rotation.from_rotvec(0.3 * polygons.normals(mirrors)[tile])
        turned = mirrors.corners.copy()
        turned[tile] = middle + turn.apply(turned[tile] - middle)
        assert order(body, Polygons(turned, mirrors.sides)) == expected


def test_ring_laid_ball_has_the_common_divisor_of_its_rings():
    found = set()
    for diameter in np.linspace(0.04, 0.12, 40):
        mirrors = ring_laid_tiles(diameter, 0.025, 0.0)
        counts = lay_rings(diameter, 0.025, 0.0).counts
        found.add(rotation_order([mirrors]))
        assert rotation_order([mirrors]) == np.gcd.reduce(counts)
        core = panels(faceted_core(0.4 * diameter))
        assert rotation_order([mirrors, core]) == np.gcd.reduce([*counts, 24])
    assert {1, 2, 6} <= found


def test_a_candidate_from_the_counts_is_still_tried():
    # Six polygons at one height, but not evenly spread: turns by thirds map them, sixths do not.
    azimuth = np.radians([0, 10, 120, 130, 240, 250])
    middles = np.stack([np.cos(azimuth), np.sin(azimuth), np.zeros(6)], axis=1)
    east = np.stack([-np.sin(azimuth), np.cos(azimuth), np.zeros(6)], axis=1)
    up = np.array([0.0, 0.0, 1.0])
    corners = np.stack([middles - 0.05 * east, middles + 0.05 * east, middles + 0.05 * up], axis=1)
    assert rotation_order([Polygons(corners, np.full(6, 3))]) == 3
