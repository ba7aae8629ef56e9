"""Panels that cut through each other: by hand, and against a brute-force test on random pairs."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.shape import polygons
from glint.shape.bases import solid
from glint.shape.cutting import cutting_pairs
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import panels
from glint.shape.steps.raising import raise_faces

SQUARE = np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]], dtype=float)
UPRIGHT = SQUARE[:, [0, 2, 1]]


def moved(shape: np.ndarray, x: float, y: float, z: float) -> np.ndarray:
    return shape + np.array([x, y, z])


def pair(first, second) -> Polygons:
    return Polygons(np.array([first, second], dtype=float), np.array([4, 4]))


def cut(first, second) -> bool:
    return cutting_pairs(pair(first, second)).tolist() == [[0, 1]]


def test_by_hand():
    assert cut(SQUARE, UPRIGHT)
    assert cut(SQUARE, moved(UPRIGHT, 1.5, 0.0, 0.9))
    assert cut(SQUARE, moved(UPRIGHT, 0.0, 0.0, 0.999))
    assert not cut(SQUARE, moved(UPRIGHT, 0.0, 0.0, 1.0))  # stands on it
    assert not cut(SQUARE, moved(UPRIGHT, 0.0, 0.0, 1.001))
    assert not cut(SQUARE, moved(UPRIGHT, 0.0, 1.0, 1.0))  # shares an edge
    assert not cut(SQUARE, moved(UPRIGHT, 2.0, 0.0, 0.0))  # meets it at an edge's middle
    assert not cut(SQUARE, moved(UPRIGHT, 5.0, 0.0, 0.0))


def test_in_one_plane():
    assert cut(SQUARE, SQUARE)
    assert cut(SQUARE, SQUARE[::-1])
    assert cut(SQUARE, moved(SQUARE, 1.9, 1.9, 0.0))
    assert cut(SQUARE, 0.1 * SQUARE)
    assert not cut(SQUARE, moved(SQUARE, 2.0, 0.5, 0.0))
    assert not cut(SQUARE, moved(SQUARE[::-1], 2.0, 2.0, 0.0))
    assert not cut(SQUARE, moved(SQUARE, 0.0, 0.0, 1e-3))


def test_mirror_images_that_share_a_corner_and_cross_on_edges():
    # The stretch they share runs from a common corner to where two edges meet, so that no edge
    # passes through the inside of either.
    first = [[0, 0, 0], [2, 1, 0.5], [2, -1, 0.5], [2, -1, 0.5]]
    second = [[0, 0, 0], [2, 0.5, 1], [2, 0.5, -1], [2, 0.5, -1]]
    mirrored = np.array(first)[:, [0, 2, 1]][::-1]
    assert cut(first, mirrored)
    assert cut(first, second)


def crosses(first: np.ndarray, second: np.ndarray) -> bool:
    """Whether an edge of one triangle pierces the other, from signs of volumes alone."""

    def pierced(triangle, start, end):
        def volume(*points):
            return np.linalg.det(np.array(points[:3]) - points[3])

        if volume(*triangle, start) * volume(*triangle, end) >= 0:
            return False
        around = [volume(start, end, triangle[i], triangle[i - 1]) for i in range(3)]
        return min(around) > 0 or max(around) < 0

    edges = [(0, 1), (1, 2), (2, 0)]
    return any(pierced(first, second[i], second[j]) for i, j in edges) or any(
        pierced(second, first[i], first[j]) for i, j in edges
    )


def test_random_triangles_against_brute_force():
    rng = np.random.default_rng(11)
    corners = rng.uniform(-1, 1, size=(60, 3, 3)) + rng.uniform(-1, 1, size=(60, 1, 3))
    found = {tuple(p) for p in cutting_pairs(Polygons(corners, np.full(60, 3))).tolist()}
    expected = {
        (i, j) for i, j in itertools.combinations(range(60), 2) if crosses(corners[i], corners[j])
    }
    assert len(expected) > 100
    assert found == expected


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6))
def test_flat_triangles_against_shapely(seed: int):
    rng = np.random.default_rng(seed)
    flat = rng.uniform(-1, 1, size=(2, 3, 2))
    areas = [shapely.Polygon(triangle) for triangle in flat]
    meet = areas[0].intersection(areas[1]).area
    if min(a.area for a in areas) < 1e-3 or 0 < meet < 1e-5:
        return
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    corners = np.concatenate([flat, np.zeros((2, 3, 1))], axis=2) @ turn
    assert (len(cutting_pairs(Polygons(corners, np.array([3, 3])))) == 1) == (meet > 0)


@pytest.mark.parametrize(
    ("base", "sides", "again", "clear"),
    [
        # At an old edge the angle outside is 360 degrees less the base's and twice the slope of
        # the first pyramids; the second ones need twice 70.53 degrees of it.
        ("tetrahedron", 3, 3, True),  # 148.4 left
        ("octahedron", 3, 3, False),  # 109.5 left
        ("icosahedron", 3, 3, False),  # 80.8 left
        ("cube", 4, 3, True),  # 160.5 left
        ("dodecahedron", 5, 3, True),  # 168.7 left
    ],
)
def test_raised_twice(base: str, sides: int, again: int, clear: bool):
    once = raise_faces(solid(base), sides)
    assert len(cutting_pairs(panels(once))) == 0
    assert (len(cutting_pairs(panels(raise_faces(once, again)))) == 0) == clear


def test_scale_and_place_do_not_matter():
    body = panels(raise_faces(raise_faces(solid("octahedron"), 3), 3))
    expected = cutting_pairs(body)
    moved = Polygons(1e-3 * body.corners + [5.0, -3.0, 2.0], body.sides)
    assert np.array_equal(cutting_pairs(moved), expected)
    assert np.array_equal(cutting_pairs(polygons.widen(body, 6)), expected)
