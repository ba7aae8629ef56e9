"""The girth against closed forms, and against shadows drawn one by one."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from glint.build.girth import girth

CUBE = np.array(list(itertools.product((0.0, 1.0), repeat=3)))


def perimeter(points, direction):
    """Of the shadow along a unit direction, by its own hull in the plane."""
    aside = np.eye(3)[np.argmin(np.abs(direction))]
    x = np.cross(direction, aside)
    x /= np.linalg.norm(x)
    # Of a plane figure scipy calls the perimeter "area".
    return ConvexHull(points @ np.stack([x, np.cross(direction, x)]).T).area


@pytest.mark.parametrize("size", [(1, 1, 1), (1, 2, 5), (3, 0.2, 1)])
def test_a_box_passes_end_first(size):
    # Along u the shadow of a box is a hexagon: twice a sqrt(1 - ux²) for each edge a. It is least
    # along the longest edge.
    found = girth(CUBE * size)
    assert found.loop == pytest.approx(2 * (sum(size) - max(size)))
    assert found.least <= found.loop


def test_a_regular_tetrahedron_passes_along_an_edge():
    points = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]) / math.sqrt(8)
    # There its shadow is a triangle: one edge, and twice the height of a face.
    assert girth(points).loop == pytest.approx(1 + math.sqrt(3))


def test_a_round_body_takes_its_circumference():
    points = np.random.default_rng(5).normal(size=(250, 3))
    points /= np.linalg.norm(points, axis=1)[:, None]
    found = girth(points)
    assert 0.96 * 2 * math.pi < found.loop < 2 * math.pi
    assert found.loop == pytest.approx(perimeter(points, found.direction))


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.integers(5, 30))
def test_no_shadow_is_smaller_than_the_bound(seed, count):
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(count, 3)) * rng.uniform(0.2, 2.0, size=3)
    found = girth(points)
    assert found.loop == pytest.approx(perimeter(points, found.direction))
    assert found.loop * (1 - 1.001e-3) <= found.least <= found.loop
    directions = rng.normal(size=(300, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    assert min(perimeter(points, u) for u in directions) >= found.least


def test_directions_taken_a_few_at_a_time_make_no_difference(monkeypatch):
    points = np.random.default_rng(3).normal(size=(60, 3))
    whole = girth(points)
    monkeypatch.setattr("glint.build.girth.AT_ONCE", 500)
    assert girth(points).loop == pytest.approx(whole.loop, rel=1e-12)
