"""Clark & Evans' R against what their paper says of lattices and of points strewn at random."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.figures.nearest_neighbour import clark_evans, rim_length
from glint.analysis.measure import measure
from glint.room.overhead import Overhead
from glint.room.surfaces.cap import Cap
from glint.room.surfaces.rectangle import Rectangle
from tests.analysis.scenes import evening

GREY = np.full(3, 0.5)
CAP = Cap(name="dome", reflectance=GREY, centre=np.zeros(3), radius=4.0, height=4.0)
DOME = Overhead((CAP,))
FLAT = Rectangle(
    name="ceiling",
    reflectance=GREY,
    centre=np.array([0.0, 0.0, 3.0]),
    width=6.0,
    height=4.0,
    across=np.array([1.0, 0.0, 0.0]),
    up=np.array([0.0, -1.0, 0.0]),
    span=6.0,
)
CEILING = Overhead((FLAT,))


def test_a_triangular_lattice_comes_to_what_the_paper_says():
    """Table 1 of Clark & Evans 1954: 2.1491 is the largest value."""
    row, column = np.mgrid[0:120, 0:120]
    x = column + 0.5 * (row % 2)
    points = np.column_stack([x.ravel(), row.ravel() * math.sqrt(0.75), np.zeros(row.size)])
    assert clark_evans(points, row.size * math.sqrt(0.75), 0.0) == pytest.approx(2.1491, abs=1e-4)


def test_a_square_lattice_has_twice_the_distance_of_random_points():
    row, column = np.mgrid[0:50, 0:50]
    points = np.column_stack([column.ravel(), row.ravel(), np.zeros(row.size)])
    assert clark_evans(points, row.size, 0.0) == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize("count", [40, 400])
def test_random_points_on_a_rectangle_come_to_one_with_the_rim_allowed_for(count):
    """The standard error of the mean distance is 0.26136 / sqrt(n * density), so that of R is
    0.26136 / (0.5 sqrt(n)) (Clark & Evans 1954), of m such sets 1 / sqrt(m) of it."""
    rng = np.random.default_rng(5)
    sets = 400
    found = []
    for _ in range(sets):
        flat = rng.uniform(size=(count, 2)) * (6.0, 4.0)
        found.append(clark_evans(np.column_stack([flat, np.zeros(count)]), 24.0, 20.0))
    error = 0.26136 / (0.5 * math.sqrt(count)) / math.sqrt(sets)
    assert np.mean(found) == pytest.approx(1.0, abs=3.0 * error)
    # Without the rim the same points would seem more regular than they are.
    assert clark_evans(np.column_stack([flat, np.zeros(count)]), 24.0, 0.0) > found[-1]


def test_random_points_on_a_dome_come_to_one():
    rng = np.random.default_rng(6)
    count, sets, found = 200, 200, []
    for _ in range(sets):
        z, turn = rng.uniform(size=count), rng.uniform(0.0, 2.0 * math.pi, count)
        out = np.sqrt(1.0 - z**2)
        points = 4.0 * np.column_stack([out * np.cos(turn), out * np.sin(turn), z])
        found.append(clark_evans(points, DOME.area, rim_length(DOME)))
    error = 0.26136 / (0.5 * math.sqrt(count)) / math.sqrt(sets)
    assert np.mean(found) == pytest.approx(1.0, abs=3.0 * error + 0.005)


def test_pairs_are_clumped():
    rng = np.random.default_rng(7)
    one = np.column_stack([rng.uniform(size=(200, 2)), np.zeros(200)])
    assert clark_evans(np.vstack([one, one + 1e-4]), 1.0, 4.0) < 0.01


def test_of_two_points_nothing_is_said():
    assert math.isnan(clark_evans(np.eye(3)[:2], 1.0, 0.0))


def test_rims():
    assert rim_length(DOME) == pytest.approx(2.0 * math.pi * 4.0, rel=1e-5)
    assert rim_length(CEILING) == pytest.approx(2.0 * (6.0 + 4.0), rel=1e-12)


def test_it_is_measured_in_a_scene():
    found = measure(evening(), 0.1)
    assert 0.3 < found.figures["regularity"].mean < 2.15
