"""The ring-laid ball: tiles touch the sphere, keep their distance, and cover it."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from scipy.spatial import KDTree

from glint.errors import ShapeError
from glint.shape import polygons
from glint.shape.bases.rings import FACETS_ROUND, faceted_core, lay_rings, ring_laid_tiles
from glint.shape.polyhedron import dihedral_angles, is_convex, panels, volume

SIZES = [
    (0.49, 0.025, 0.002),
    (0.15, 0.01, 0.0),
    (0.12, 0.025, 0.004),
    (0.1, 0.025, 0.0),
    (0.084, 0.025, 0.002),  # the rings next to the poles are left out
    (0.046, 0.025, 0.002),
    (0.03, 0.025, 0.002),
]


@pytest.mark.parametrize(("diameter", "edge", "gap"), SIZES)
def test_squares_touch_the_sphere_with_their_middles(diameter: float, edge: float, gap: float):
    mirrors = ring_laid_tiles(diameter, edge, gap)
    middles = polygons.centres(mirrors)
    assert np.linalg.norm(middles, axis=1) == pytest.approx(diameter / 2, rel=1e-12)
    assert polygons.normals(mirrors) == pytest.approx(middles / (diameter / 2), abs=1e-9)
    around = np.linalg.norm(np.roll(mirrors.corners, -1, axis=1) - mirrors.corners, axis=2)
    assert around == pytest.approx(edge, rel=1e-9)
    diagonal = np.linalg.norm(mirrors.corners[:, 2] - mirrors.corners[:, 0], axis=1)
    assert diagonal == pytest.approx(edge * np.sqrt(2), rel=1e-9)


def seen_from_the_centre(corners: np.ndarray, towards: np.ndarray) -> shapely.Polygon:
    """A tile projected from the sphere's centre onto the plane at right angles to `towards`."""
    first = polygons.unit(np.cross(towards, [0.3, -0.5, 0.8]))
    second = np.cross(towards, first)
    depth = corners @ towards
    return shapely.Polygon(np.stack([corners @ first / depth, corners @ second / depth], axis=1))


# Not the last size: two tiles of it do not fit into one hemisphere, which the projection needs.
@pytest.mark.parametrize(("diameter", "edge", "gap"), SIZES[:-1])
def test_tiles_do_not_overlap_seen_from_the_centre(diameter: float, edge: float, gap: float):
    mirrors = ring_laid_tiles(diameter, edge, gap)
    middles = polygons.centres(mirrors)
    area = (edge / (diameter / 2)) ** 2
    pairs = KDTree(middles).query_pairs(1.5 * edge)
    assert len(pairs) >= len(middles) / 2
    for i, j in pairs:
        towards = polygons.unit(middles[i] + middles[j])
        one, other = (seen_from_the_centre(mirrors.corners[k], towards) for k in (i, j))
        assert one.intersection(other).area < 1e-9 * area


@pytest.mark.parametrize(("diameter", "edge", "gap"), SIZES)
def test_gap_between_neighbours(diameter: float, edge: float, gap: float):
    mirrors = ring_laid_tiles(diameter, edge, gap)
    c = mirrors.corners
    starts = np.cumsum([0, *lay_rings(diameter, edge, gap).counts])
    # Along a ring: from the middle of each east edge to the middle of the next tile's west edge.
    east, west = (c[:, 2] + c[:, 3]) / 2, (c[:, 0] + c[:, 1]) / 2
    for start, end in itertools.pairwise(starts):
        apart = np.linalg.norm(np.roll(west[start:end], -1, axis=0) - east[start:end], axis=1)
        assert apart.min() >= gap - 1e-9
    # From ring to ring: the distance in height and radius of facing edges' middles.
    south, north = (c[:, 1] + c[:, 2]) / 2, (c[:, 0] + c[:, 3]) / 2
    level = starts[:-1]
    low = np.stack([np.hypot(*south[level, :2].T), south[level, 2]], axis=1)
    high = np.stack([np.hypot(*north[level, :2].T), north[level, 2]], axis=1)
    assert np.linalg.norm(high[1:] - low[:-1], axis=1).min() >= gap - 1e-9


@pytest.mark.parametrize(
    ("diameter", "edge", "gap", "share"),
    [(0.49, 0.025, 0.002, 0.94), (1.0, 0.025, 0.002, 0.96), (3.0, 0.02, 0.002, 0.98)],
)
def test_count_is_nearly_surface_over_pitch_squared(diameter, edge, gap, share):
    # No more than the sphere's area holds; rounding down, and corners near the poles, lose a few.
    count = len(ring_laid_tiles(diameter, edge, gap).sides)
    fits = np.pi * diameter**2 / (edge + gap) ** 2
    assert share * fits < count < fits


def test_the_usual_ball_carries_about_a_thousand():
    assert len(ring_laid_tiles(0.49, 0.025, 0.002).sides) == pytest.approx(1000, rel=0.05)


@pytest.mark.parametrize(("diameter", "edge", "gap"), SIZES)
def test_rings_are_even_and_alike_above_and_below(diameter: float, edge: float, gap: float):
    colatitudes, counts, places = lay_rings(diameter, edge, gap)
    spacing = np.diff(colatitudes)
    assert spacing == pytest.approx(np.full(len(spacing), spacing[0]))
    assert np.pi / spacing[0] == pytest.approx(round(np.pi / spacing[0]))
    assert colatitudes + colatitudes[::-1] == pytest.approx(np.pi)
    assert np.array_equal(counts, counts[::-1])
    assert np.diff(places).tolist() == [1] * len(spacing)


def test_every_other_ring_is_turned_by_half_a_tile():
    sizes = (0.49, 0.025, 0.002)
    middles = polygons.centres(ring_laid_tiles(*sizes))
    _, counts, places = lay_rings(*sizes)
    first = middles[np.cumsum(counts) - counts]
    azimuth = np.arctan2(first[:, 1], first[:, 0])
    assert azimuth == pytest.approx(np.where(places % 2, np.pi / counts, 0.0), abs=1e-12)


@pytest.mark.parametrize(("diameter", "edge", "gap"), SIZES)
def test_one_tile_more_would_not_fit(diameter: float, edge: float, gap: float):
    def apart(count: np.ndarray, reach: np.ndarray) -> np.ndarray:
        """Distance between facing ends of two of `count` chords of length `edge`, their middles
        evenly round a circle of radius `reach`."""
        half = np.pi / count
        return 2 * (reach * np.sin(half) - 0.5 * edge * np.cos(half))

    colatitudes, counts, _ = lay_rings(diameter, edge, gap)
    middle = diameter / 2 * np.sin(colatitudes)
    corner = middle - edge / 2 * np.abs(np.cos(colatitudes))
    assert (apart(counts, middle) >= gap - 1e-9).all()
    assert (apart(counts, corner) >= -1e-9).all()
    assert ((apart(counts + 1, middle) < gap) | (apart(counts + 1, corner) < 0)).all()


def test_core_lies_behind_every_tile():
    diameter, thickness = 0.49, 0.002
    core = faceted_core(diameter / 2 - thickness)
    up = polygons.normals(ring_laid_tiles(diameter, 0.025, 0.002))
    backs = core.vertices @ up.T - (diameter / 2 - thickness)
    assert backs.max() <= 1e-12


def test_core_is_flat_closed_convex_and_nearly_a_sphere():
    core = faceted_core(2.0)
    shells = panels(core)
    assert is_convex(core)
    assert core.closed
    assert (dihedral_angles(core) < np.pi).all()
    flat = np.einsum("nvk,nk->nv", shells.corners - shells.corners[:, :1], polygons.normals(shells))
    assert np.abs(flat).max() < 1e-12
    assert np.linalg.norm(core.vertices, axis=1) == pytest.approx(2.0)
    assert 0.97 < volume(core) / (4 / 3 * np.pi * 8) < 1
    round_the_equator = np.abs(core.vertices[:, 2]) < 1e-12
    assert round_the_equator.sum() == FACETS_ROUND


def test_too_small_and_too_large_are_refused():
    # Four tiles round need a square of side edge, its corners half a gap further: edge + gap
    # sqrt(2).
    least = 0.025 + np.sqrt(2) * 0.002
    assert len(ring_laid_tiles(least, 0.025, 0.002).sides) >= 4
    with pytest.raises(ShapeError, match=r"found 0.0275; allowed: at least 0.0279") as caught:
        ring_laid_tiles(0.0275, 0.025, 0.002)
    assert caught.value.key == "shape.diameter_m"
    with pytest.raises(ShapeError, match=r"found 20; allowed: at most 0.8462") as caught:
        ring_laid_tiles(20.0, 0.002, 0.001)
    assert caught.value.key == "shape.diameter_m"


def test_a_hundred_thousand_tiles():
    assert 95_000 < len(ring_laid_tiles(4.9, 0.025, 0.002).sides) < 105_000
