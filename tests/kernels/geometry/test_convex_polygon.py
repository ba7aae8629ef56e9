"""Polygons cut by planes and by shadows."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.arrays import MOST_CORNERS
from glint.kernels.geometry.convex_polygon import (
    area,
    cone_planes,
    cut_cone_out,
    inside_cone,
    keep_side,
)


def padded(points) -> np.ndarray:
    polygon = np.zeros((MOST_CORNERS, 3))
    polygon[: len(points)] = points
    return polygon


def square(size: float, height: float, x: float = 0.0) -> np.ndarray:
    h = size / 2
    return padded(
        [[x - h, -h, height], [x + h, -h, height], [x + h, h, height], [x - h, h, height]]
    )


def test_a_plane_through_the_middle_halves_a_square():
    kept = np.zeros((MOST_CORNERS, 3))
    count = keep_side(square(2.0, 0.0), 4, 1.0, 0.0, 0.0, 0.0, 1.0, kept)
    assert count == 4
    assert area(kept, count) == pytest.approx(2.0, abs=1e-12)
    assert kept[:count, 0].min() == pytest.approx(0.0)


@pytest.mark.parametrize("shift", [0.0, 0.3, 0.55, 2.0])
def test_the_shadow_and_the_rest_make_the_whole(shift):
    # A square blocker of side 0.5 half-way to the plane casts a shadow of side 1 (similar
    # triangles), moved by twice the blocker's shift.
    apex = np.array([0.0, 0.0, 2.0])
    blocker, receiver = square(0.5, 1.0, shift), square(2.0, 0.0)
    planes = np.zeros((MOST_CORNERS, 3))
    assert cone_planes(apex, blocker, 4, planes)
    shadow, spare = np.zeros((MOST_CORNERS, 3)), np.zeros((MOST_CORNERS, 3))
    count = inside_cone(receiver, 4, apex, planes, 4, shadow, spare)
    overlap = max(0.0, min(1.0, 2 * shift + 0.5) - (2 * shift - 0.5))
    assert area(shadow, count) == pytest.approx(overlap, abs=1e-12)
    pieces = np.zeros((8, MOST_CORNERS, 3))
    counts = np.zeros(8, np.int64)
    inside = receiver.copy()
    used, left = cut_cone_out(inside, 4, apex, planes, 4, pieces, counts, 0, spare)
    assert area(inside, left) == pytest.approx(overlap, abs=1e-12)
    rest = sum(area(pieces[i], counts[i]) for i in range(used))
    assert rest + overlap == pytest.approx(4.0 if overlap else 0.0, abs=1e-12)


def test_a_polygon_seen_edge_on_has_no_cone():
    planes = np.zeros((MOST_CORNERS, 3))
    assert not cone_planes(np.array([3.0, 0.1, 1.0]), square(0.5, 1.0), 4, planes)
