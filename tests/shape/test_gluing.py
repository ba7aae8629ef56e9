"""Whether tiles can be glued on, against an independent intersection of solids."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape import polygons
from glint.shape.body import build_body
from glint.shape.catalogue import catalogue
from glint.shape.gluing import gluing

SPIKED = ShapeTable.model_validate("icosahedron, triangles raised")
SIZES = [
    {"edge_mm": 25.0, "thickness_mm": 2.0, "recess_mm": 0.0},
    {"edge_mm": 28.0, "thickness_mm": 3.0, "recess_mm": 1.0},
    {"edge_mm": 18.0, "thickness_mm": 6.0, "recess_mm": 0.5},
]


def judged(shape, **sizes):
    tile = TileTable(**sizes)
    return gluing(build_body(shape, tile, HangTable()), shape, tile)


def depth_of_meeting(one, other):
    """How far two convex solids, told by their corners, would have to move to part, m; negative
    where they are apart. They meet where the origin lies in the convex hull of all differences of
    their corners (Minkowski), here Qhull's.
    """
    differences = (one[:, None] - other[None]).reshape(-1, 3)
    return -float(ConvexHull(differences).equations[:, 3].max())


def solids_that_meet(shape, sizes):
    """Pairs whose solids go a micrometre into each other; from panels alone."""
    tile = TileTable(**sizes)
    body = build_body(shape, tile, HangTable())
    proud = (tile.thickness_mm - tile.recess_mm) / 1e3
    found, tops = [], []
    for corners, sides in zip(body.panel_corners, body.panel_sides, strict=True):
        ring = corners[:sides]
        middle = ring.mean(axis=0)
        out = np.cross(ring[1] - ring[0], ring[2] - ring[0])
        out /= np.linalg.norm(out)
        foot = middle + tile.edge_mm / tile.panel_edge_mm * (ring - middle)
        tops.append((foot + proud * out, out))
    middles = np.array([top.mean(axis=0) for top, _ in tops])
    reach = 2.0 * max(np.linalg.norm(top - top.mean(axis=0), axis=1).max() for top, _ in tops)
    away = np.linalg.norm(middles[:, None] - middles[None], axis=2)
    solids = [np.concatenate([top, top - proud * out]) for top, out in tops]
    for i, j in np.argwhere(np.triu(away < reach + 2 * proud, 1)):
        if depth_of_meeting(solids[i], solids[j]) > 1e-6:
            found.append((i, j))
    return found


@pytest.mark.parametrize("sizes", SIZES)
def test_every_shape_of_the_catalogue_against_solids(sizes):
    """A third of the catalogue for each size, so every shape once."""
    shift = SIZES.index(sizes)
    collide = clear = 0
    for entry in [entry for entry in catalogue() if entry.buildable][shift::3]:
        shape = ShapeTable.model_validate(entry.name)
        found = judged(shape, **sizes)
        assert found.collisions == len(solids_that_meet(shape, sizes)), entry.name
        collide, clear = collide + (not found.possible), clear + found.possible
    assert collide > 3
    assert clear > 3


def test_flush_tiles_never_collide():
    for entry in catalogue():
        if entry.buildable:
            assert judged(ShapeTable.model_validate(entry.name)).possible


@pytest.mark.parametrize("sizes", SIZES)
def test_what_fits_just_fits(sizes):
    """Each bound from both sides, with solids of our own on the side that fits."""
    shapes = [ShapeTable.model_validate(e.name) for e in catalogue() if e.buildable]
    crowded = [shape for shape in shapes if not judged(shape, **sizes).possible]
    for shape in crowded[::12]:
        check_bounds(shape, sizes)


def check_bounds(shape, sizes):
    found = judged(shape, **sizes)
    bounds = {
        "edge_mm": (found.largest_tile_mm, -1),
        "thickness_mm": (found.largest_thickness_mm, -1),
        "recess_mm": (found.shallowest_recess_mm, 1),
        "panel_edge_mm": (found.smallest_panel_edge_mm, 1),
    }
    for key, (bound, clear) in bounds.items():
        if bound is None:  # not even the smallest tile, or a panel much larger
            extremes = {"edge_mm": 1.0, "panel_edge_mm": 60 * 32.0, "thickness_mm": 0.1}
            extreme = extremes[key] if key != "thickness_mm" else 0.1 + sizes["recess_mm"]
            assert solids_that_meet(shape, sizes | {key: extreme}), key
            continue
        inside, outside = bound * (1 + clear * 1e-3), bound * (1 - clear * 1e-3)
        assert judged(shape, **sizes | {key: inside}).possible, key
        assert not judged(shape, **sizes | {key: outside}).possible, key
        # A thousandth of a bound goes in by less than the micrometre of `solids_that_meet`.
        assert not solids_that_meet(shape, sizes | {key: inside}), key


@pytest.mark.parametrize("edge, panel_edge", [(25.0, 32.0), (40.0, 44.0)])
def test_the_largest_thickness_of_a_spiked_icosahedron(edge, panel_edge):
    """Between two pyramids lies a valley of 360 degrees less the icosahedron's dihedral angle,
    acos(-sqrt(5) / 3), less twice the tetrahedron's, acos(1 / 3) (Coxeter, Regular Polytopes,
    table I). A tile whose rim stays m clear of the valley, all along, meets the plane that halves
    it at a height of m tan(half the valley); and m is the difference of the triangles' inradii.
    """
    valley = 2 * math.pi - math.acos(-math.sqrt(5) / 3) - 2 * math.acos(1 / 3)
    margin = (panel_edge - edge) / (2 * math.sqrt(3))
    wanted = margin * math.tan(valley / 2)
    thick = 1.2 * wanted
    found = judged(
        SPIKED, edge_mm=edge, panel_edge_mm=panel_edge, thickness_mm=thick, recess_mm=0.0
    )
    # One pair for each edge of the icosahedron.
    assert found.collisions == 30
    assert found.largest_thickness_mm == pytest.approx(wanted, rel=1e-5)
    assert found.shallowest_recess_mm == pytest.approx(thick - wanted, rel=1e-4)
    # The margin that a height needs: panels larger, or tiles smaller, by as much.
    needed = thick / math.tan(valley / 2) * 2 * math.sqrt(3)
    assert found.smallest_panel_edge_mm == pytest.approx(edge + needed, rel=1e-5)
    assert found.largest_tile_mm == pytest.approx(panel_edge - needed, rel=1e-5)


def test_unequal_margins_let_a_corner_in_by_the_side():
    """Where a tile's rim enters beside its neighbour's face, not through it, no two faces cross."""
    entries = [e for e in catalogue() if e.buildable and e.triangles and e.squares]
    sizes = {"edge_mm": 25.0, "recess_mm": 0.0}
    differ = 0
    for entry, thickness in itertools.product(entries[::6], (1.0, 1.5, 2.5, 3.5)):
        shape = ShapeTable.model_validate(entry.name)
        found = judged(shape, thickness_mm=thickness, **sizes)
        assert found.collisions == len(
            solids_that_meet(shape, {"thickness_mm": thickness, **sizes})
        ), (entry.name, thickness)
        differ += not found.possible
    assert differ


def test_convex_bodies_have_room_for_any_thickness():
    for base in ("octahedron", "icosahedron"):
        assert judged(ShapeTable(base=base), thickness_mm=50.0, recess_mm=0.0).possible
    assert judged(ShapeTable(base="rings", diameter_m=0.3)).possible


def test_remedies_are_rounded_to_the_side_that_fits():
    found = judged(SPIKED, recess_mm=0.0)
    remedies = found.remedies
    for key, value in remedies.items():
        assert judged(SPIKED, **{"recess_mm": 0.0, key: value}).possible, key
    assert "collide in 30 places" in found.says
    assert f"{remedies['thickness_mm']:g} mm thick" in found.says
    middle = polygons.centres(build_body(SPIKED, TileTable(), HangTable()).tiles)
    assert len(middle) == 60
