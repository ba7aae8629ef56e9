"""Silhouettes against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.build.silhouette import DIRECTIONS, half_sphere, hull_areas, silhouette, united_area
from glint.shape import polygons
from tests.build.tables import OPEN_4, RAISE_3, body, scene

CUBE = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)


def test_a_convex_body_shows_a_quarter_of_its_surface_on_the_mean():
    # Cauchy 1841. The largest silhouette of a unit cube is along a diagonal: a regular hexagon of
    # area sqrt(3).
    areas = hull_areas(CUBE, half_sphere(DIRECTIONS))
    assert areas.mean() == pytest.approx(6 / 4, rel=1e-4)
    assert areas.max() == pytest.approx(math.sqrt(3), rel=1e-3)
    assert areas.min() == pytest.approx(1.0, abs=0.05)


def test_a_ball_of_small_tiles_looks_like_a_disc():
    ball = scene({"shape": {"base": "rings", "diameter_m": 0.5}}).balls[0]
    seen = silhouette(ball.body)
    # Middles of the tiles touch the sphere, their corners stand a little out of it.
    disc = math.pi * 0.25**2
    assert disc < seen.mean < seen.largest < 1.02 * disc


def test_a_body_with_valleys_is_smaller_than_its_hull_and_larger_than_its_core():
    spiked = body("icosahedron", (RAISE_3,), thickness_mm=0.1)
    seen = silhouette(spiked)
    hull = hull_areas(spiked.panel_corners.reshape(-1, 3), half_sphere(DIRECTIONS)).mean()
    # The core is an icosahedron: twenty triangles of 32 mm.
    core = 20 * math.sqrt(3) / 4 * 0.032**2 / 4
    assert core < seen.mean < hull
    # No silhouette is more than half of all that faces any way.
    surface = np.linalg.norm(polygons.area_vectors(spiked.panels), axis=1).sum()
    assert seen.mean < surface / 4


def test_united_outlines_agree_with_the_hull_of_a_convex_body():
    cube = body("cube", thickness_mm=0.1)
    outlines = [corners[:n] for corners, n in zip(*cube.panels, strict=True)]
    for way in half_sphere(5):
        area = hull_areas(cube.panel_corners.reshape(-1, 3), way[None])[0]
        assert united_area(outlines, way) == pytest.approx(area)


def test_a_box_without_lid_is_as_large_as_with_it():
    # What the opening shows is the inside of the panels beyond, but for the missing lid itself.
    closed = silhouette(body("cube", by="face", thickness_mm=0.1))
    lidless = silhouette(body("cube", (OPEN_4,), by="opening", thickness_mm=0.1))
    assert 0.85 * closed.mean < lidless.mean < 1.01 * closed.mean


def test_directions_are_spread_evenly():
    ways = half_sphere(DIRECTIONS)
    assert np.linalg.norm(ways, axis=1) == pytest.approx(1.0)
    assert ways.mean(axis=0) == pytest.approx([0.0, 0.0, 0.5], abs=1e-3)
    second = ways.T @ ways / DIRECTIONS
    assert second == pytest.approx(np.eye(3) / 3, abs=1e-3)
