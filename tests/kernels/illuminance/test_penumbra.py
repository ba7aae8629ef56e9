"""Area and centroid of polygon and disc together, against shapely and closed forms."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from glint.kernels.illuminance.penumbra import quad_of, seen_of_lens


def share(points: np.ndarray, radius: float) -> tuple[float, float, float]:
    """Looked at from far away, a quad close to the lens is projected onto it as it is."""
    total, mx, my = 0.0, 0.0, 0.0
    for first in range(1, len(points) - 1, 2):
        rows = [0, *(min(first + i, len(points) - 1) for i in range(3))]
        corners = np.zeros((3, 4))
        corners[:2] = points[rows].T
        part, x, y = seen_of_lens(0.0, 0.0, 1e9, quad_of(corners), 1.0 / radius)
        total, mx, my = total + part, mx + part * x * radius, my + part * y * radius
    return (total, mx / total, my / total) if total > 0.0 else (0.0, 0.0, 0.0)


def test_half_plane_square_leaves_half_a_disc():
    # A half disc's centroid lies 4 r / (3 pi) from the centre (any table of centroids).
    square = np.array([[0.0, -5.0], [5.0, -5.0], [5.0, 5.0], [0.0, 5.0]])
    part, x, y = share(square, 1.0)
    assert part == pytest.approx(0.5, abs=1e-12)
    assert x == pytest.approx(4 / (3 * math.pi), abs=1e-12)
    assert y == pytest.approx(0.0, abs=1e-12)


def test_disc_inside_polygon_is_whole_and_polygon_far_away_is_nothing():
    square = np.array([[-2.0, -2.0], [2.0, -2.0], [2.0, 2.0], [-2.0, 2.0]])
    assert share(square, 1.0) == (1.0, 0.0, 0.0)
    assert share(square + 9.0, 1.0)[0] == 0.0


@settings(max_examples=300, deadline=None)
@given(
    st.integers(3, 8),
    st.floats(0.05, 3.0),
    st.floats(-2.0, 2.0),
    st.floats(-2.0, 2.0),
    st.floats(0.3, 2.0),
    st.floats(0.0, 6.3),
    st.booleans(),
)
def test_agrees_with_shapely(sides, size, x, y, squeeze, turn, backwards):
    angles = turn + 2 * math.pi * np.arange(sides) / sides
    points = np.column_stack([x + size * np.cos(angles), y + squeeze * size * np.sin(angles)])
    if backwards:
        points = points[::-1]
    # A disc of 4 * 256 chords is smaller than the round one by a share of about 6e-6.
    disc = shapely.Point(0.0, 0.0).buffer(1.0, quad_segs=256)
    common = shapely.Polygon(points).intersection(disc)
    part, cx, cy = share(points, 1.0)
    if backwards:
        assert part == 0.0
        return
    assert part == pytest.approx(common.area / math.pi, abs=1e-5)
    if common.area > 0.01:
        assert (cx, cy) == pytest.approx((common.centroid.x, common.centroid.y), abs=1e-3)


@settings(max_examples=60, deadline=None)
@example(3, 1.0, 0.0, 0.0, 1.0, 1.0)  # every corner on the rim
@given(
    st.integers(3, 7),
    st.floats(0.1, 2.5),
    st.floats(-1.5, 1.5),
    st.floats(-1.5, 1.5),
    st.floats(0.2, 2.0),
    st.floats(0.0, 6.3),
)
def test_agrees_with_quadrature(sides, size, x, y, radius, turn):
    angles = turn + 2 * math.pi * np.arange(sides) / sides
    points = np.column_stack([x + size * np.cos(angles), y + size * np.sin(angles)])

    def height(u: float) -> float:
        """How much of the upright line at u lies in both: where it meets the edges, in pairs."""
        meets = []
        for (ax, ay), (bx, by) in zip(points, np.roll(points, -1, axis=0), strict=True):
            if (ax <= u) != (bx <= u):
                meets.append(ay + (by - ay) * (u - ax) / (bx - ax))
        if not meets:
            return 0.0
        half = math.sqrt(max(radius * radius - u * u, 0.0))
        return max(min(max(meets), half) - max(min(meets), -half), 0.0)

    # Kinks where the polygon has a corner, and where an edge meets the circle.
    kinks = [float(u) for u in points[:, 0] if abs(u) < radius]
    for (ax, ay), (bx, by) in zip(points, np.roll(points, -1, axis=0), strict=True):
        ex, ey = bx - ax, by - ay
        a, b, c = ex * ex + ey * ey, ax * ex + ay * ey, ax * ax + ay * ay - radius * radius
        if b * b > a * c:
            for sign in (-1, 1):
                u = ax + ex * (-b + sign * math.sqrt(b * b - a * c)) / a
                if abs(u) < radius:
                    kinks.append(u)
    ends = sorted({-radius, *kinks, radius})
    # Asked for its full output, quad does not warn of kinks that rounding puts beside an end.
    area = sum(quad(height, a, b, full_output=1)[0] for a, b in itertools.pairwise(ends))
    assert share(points, radius)[0] == pytest.approx(area / (math.pi * radius**2), abs=1e-7)
