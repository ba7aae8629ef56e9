"""Tiles: how large, how high, and how crooked."""

from __future__ import annotations

import numpy as np
import pytest

from glint.shape import polygons, tiles
from glint.shape.bases import solid
from glint.shape.bases.geodesic import geodesic
from glint.shape.bases.rings import ring_laid_tiles
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import panels, scaled


def lengths(shapes: Polygons) -> np.ndarray:
    around = np.linalg.norm(np.roll(shapes.corners, -1, axis=1) - shapes.corners, axis=2)
    return around[around > 0]


@pytest.mark.parametrize("name", ["icosahedron", "cube", "cuboctahedron"])
def test_tiles_lie_parallel_over_the_middle_of_their_panels(name: str):
    shells = panels(scaled(solid(name), 0.032))
    glued = tiles.glued(shells, 25 / 32, 0.002)
    up = polygons.normals(shells)
    assert polygons.normals(glued) == pytest.approx(up, abs=1e-12)
    assert lengths(glued) == pytest.approx(0.025, rel=1e-12)
    rise = polygons.centres(glued) - polygons.centres(shells)
    assert rise == pytest.approx(0.002 * up, abs=1e-15)
    over = np.einsum("nvk,nk->nv", glued.corners - shells.corners[:, :1], up)
    assert over == pytest.approx(0.002, rel=1e-9)


def distances_to_sides(shapes: Polygons, points: np.ndarray) -> np.ndarray:
    """Distance of points (n, 3), in their planes, from each side of each triangle, (n, 3)."""
    along = polygons.unit(np.roll(shapes.corners, -1, axis=1) - shapes.corners)
    inward = np.cross(polygons.normals(shapes)[:, None], along)
    return np.einsum("nvk,nvk->nv", points[:, None] - shapes.corners, inward)


def test_inscribed_circle_touches_every_side():
    rng = np.random.default_rng(3)
    shapes = Polygons(rng.normal(size=(50, 3, 3)), np.full(50, 3))
    middles, radii = tiles.inscribed(shapes)
    assert distances_to_sides(shapes, middles) == pytest.approx(
        np.repeat(radii[:, None], 3, axis=1)
    )


def test_inscribed_circle_by_hand():
    # A right triangle of sides 3, 4, 5 has an inscribed circle of radius 1 (Euclid IV.4).
    shapes = Polygons(np.array([[[0, 0, 0], [3, 0, 0], [0, 4, 0]]], dtype=float), np.array([3]))
    middles, radii = tiles.inscribed(shapes)
    assert middles[0] == pytest.approx([1, 1, 0])
    assert radii[0] == pytest.approx(1)


def test_cut_to_size_leaves_the_margin_along_every_side():
    shells = panels(scaled(geodesic(solid("icosahedron"), 4), 0.25))
    cut = tiles.cut_to_size(shells, 0.003, 0.002)
    up = polygons.normals(shells)
    for corner in range(3):
        foot = cut.corners[:, corner] - 0.002 * up
        distance = np.sort(distances_to_sides(shells, foot), axis=1)
        assert distance[:, :2] == pytest.approx(0.003, rel=1e-9)
        assert (distance[:, 2] > 0.003).all()


def test_no_tilt_is_no_change():
    mirrors = ring_laid_tiles(0.3, 0.025, 0.002)
    assert tiles.tilted(mirrors, 0.0, 1) is mirrors


def test_tilted_tiles_keep_their_shape_and_stand_on_their_lowest_corner():
    mirrors = tiles.glued(panels(solid("cuboctahedron")), 0.8, 0.05)
    crooked = tiles.tilted(mirrors, 0.1, 5)
    assert lengths(crooked) == pytest.approx(0.8, rel=1e-12)
    up = polygons.normals(mirrors)
    heights = np.einsum("nvk,nk->nv", crooked.corners - mirrors.corners[:, :1], up)
    assert heights.min(axis=1) == pytest.approx(0, abs=1e-14)
    assert (heights.max(axis=1) > 1e-3).all()
    aside = polygons.centres(crooked) - polygons.centres(mirrors)
    assert np.cross(aside, up) == pytest.approx(0, abs=1e-14)


def test_measured_deviation_is_the_one_asked_for():
    # Each of the two components of the tilt has n normal deviates, so its standard deviation is
    # known to 1 / sqrt(2 n), which is 1 % for n = 5000; four times that is allowed.
    mirrors = ring_laid_tiles(1.1, 0.025, 0.002)
    assert len(mirrors.sides) > 5000
    asked = np.radians(1.5)
    crooked = polygons.normals(tiles.tilted(mirrors, asked, 7))
    up = polygons.normals(mirrors)
    first = polygons.unit(mirrors.corners[:, 1] - mirrors.corners[:, 0])
    second = np.cross(up, first)
    angle = np.arctan2(np.linalg.norm(np.cross(up, crooked), axis=1), (up * crooked).sum(axis=1))
    way = polygons.unit(crooked - (crooked * up).sum(axis=1)[:, None] * up)
    tilts = angle[:, None] * np.stack([(way * first).sum(axis=1), (way * second).sum(axis=1)], 1)
    assert tilts.std(axis=0) == pytest.approx([asked, asked], rel=0.04)
    assert abs(tilts.mean()) < 4 * asked / np.sqrt(tilts.size)
    assert abs(np.corrcoef(tilts.T)[0, 1]) < 4 / np.sqrt(len(tilts))


def test_a_seed_gives_the_same_tiles_and_another_gives_others():
    mirrors = tiles.glued(panels(solid("cube")), 0.8, 0.05)
    once, again, other = (tiles.tilted(mirrors, 0.02, seed).corners for seed in (7, 7, 8))
    assert np.array_equal(once, again)
    assert not np.allclose(once, other)


def test_widened_rows_stay_padded_when_tilted():
    mirrors = polygons.widen(tiles.glued(panels(solid("tetrahedron")), 0.8, 0.05), 4)
    crooked = tiles.tilted(mirrors, 0.05, 2)
    assert np.array_equal(crooked.corners[:, 2], crooked.corners[:, 3])
    narrow = tiles.tilted(tiles.glued(panels(solid("tetrahedron")), 0.8, 0.05), 0.05, 2)
    assert crooked.corners[:, :3] == pytest.approx(narrow.corners, abs=1e-15)
