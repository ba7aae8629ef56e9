"""The largest tile on a panel, against closed forms and a brute-force search."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.shape.fitting import inset, largest_regular

SQUARE = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
TRIANGLE = np.array([[0, 0], [1, 0], [0.5, sqrt(3) / 2]], float)
FREE = 1e6


def turned(panel: np.ndarray, angle: float) -> np.ndarray:
    return panel @ np.array([[cos(angle), sin(angle)], [-sin(angle), cos(angle)]])


def regular(sides: int) -> np.ndarray:
    angles = 2 * pi * np.arange(sides) / sides
    return np.stack([np.cos(angles), np.sin(angles)], axis=1)


@pytest.mark.parametrize(
    ("panel", "sides", "edge"),
    [
        (SQUARE, 4, 1.0),
        (TRIANGLE, 3, 1.0),
        # The largest triangle in a unit square stands askew by 15 degrees: its edge is
        # 1 / cos(15 degrees), as each of two corners then lies on a side.
        (SQUARE, 3, 1 / cos(radians(15))),
        # A square on a side of a triangle of edge 1: x (1 + 2 / sqrt(3)) = 1, by similar triangles.
        (TRIANGLE, 4, 1 / (1 + 2 / sqrt(3))),
        (SQUARE * [3, 1], 4, 1.0),
        # The triangle with the three lines of symmetry of a hexagon or nonagon.
        (regular(6), 3, sqrt(3)),
        (regular(9), 3, sqrt(3)),
        (regular(8), 4, sqrt(2)),
        (regular(16), 4, sqrt(2)),
    ],
)
def test_closed_forms(panel: np.ndarray, sides: int, edge: float):
    for angle in (0.0, 0.3, 2.0):
        fit = largest_regular(turned(panel, angle), sides, FREE)
        assert fit.edge == pytest.approx(edge, rel=2e-4)


def test_never_larger_than_asked_and_then_in_the_middle():
    fit = largest_regular(SQUARE * [4, 2], 4, 0.5)
    assert fit.edge == 0.5
    assert fit.corners.mean(axis=0) == pytest.approx([2.0, 1.0])
    assert np.linalg.norm(fit.corners[1] - fit.corners[0]) == pytest.approx(0.5)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([3, 4]))
def test_it_fits_and_no_other_is_much_larger(seed: int, sides: int):
    rng = np.random.default_rng(seed)
    hull = shapely.MultiPoint(rng.uniform(-1, 1, size=(rng.integers(3, 12), 2))).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 0.05:
        return
    panel = shapely.get_coordinates(shapely.orient_polygons(hull).exterior)[:-1]
    fit = largest_regular(panel, sides, FREE)
    tile = shapely.Polygon(fit.corners)
    assert hull.buffer(1e-7).contains(tile)
    lengths = np.linalg.norm(np.roll(fit.corners, -1, axis=0) - fit.corners, axis=1)
    assert lengths == pytest.approx(fit.edge)
    # Tiles at random about random points: none is larger by more than the search's grain.
    for _ in range(200):
        middle, angle = rng.uniform(-1, 1, size=2), rng.uniform(0, 2 * pi)
        other = turned(regular(sides), angle) * fit.edge * 1.003 / (2 * sin(pi / sides)) + middle
        assert not hull.contains(shapely.Polygon(other))


def test_inset():
    assert sorted(inset(SQUARE, 0.1).ravel().round(9).tolist()) == [0.1] * 4 + [0.9] * 4
    assert inset(SQUARE, 0.5).shape == (0, 2)
    # A side shorter than what its neighbours leave of it goes.
    house = np.array([[0, 0], [2, 0], [2, 0.05], [1, 1], [0, 0.05]], float)
    assert len(inset(house, 0.2)) == 3
    # What is left of a small panel may be too small for any tile.
    assert inset(SQUARE * 2e-3, 0.2e-3) == pytest.approx(SQUARE * 1.6e-3 + 0.2e-3)
    assert inset(SQUARE * 2e-3, 0.8e-3).shape == (0, 2)
