"""Short polynomials that stand for odd functions inside kernels."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.geometry.odd_polynomial import odd_series


def at_points(coefficients, x):
    return x * np.polynomial.Polynomial(coefficients)(x**2)


@pytest.mark.parametrize("terms", [1, 2, 5, 8, 12])
def test_the_coefficients_are_real_and_as_many_as_asked_for(terms):
    found = odd_series(np.arctan, 0.4, terms)
    assert len(found) == terms
    assert all(type(c) is float for c in found)


def test_a_polynomial_of_odd_powers_comes_back():
    x = np.linspace(0.0, 1.5, 50)
    found = odd_series(lambda x: 2.0 * x - 3.0 * x**3 + 0.5 * x**5, 1.5, 3)
    assert found == pytest.approx((2.0, -3.0, 0.5), abs=1e-12)
    assert at_points(found, x) == pytest.approx(2.0 * x - 3.0 * x**3 + 0.5 * x**5, abs=1e-12)


def test_the_function_is_met_at_chebyshevs_points_of_the_square():
    # The roots of T_n on (0, e**2), by their definition: cos(n arccos t) = 0.
    end, terms = 1.2, 4
    t = 2.0 * np.arange(20_001) / 20_000 - 1.0
    value = np.cos(terms * np.arccos(t))
    change = np.flatnonzero(value[:-1] * value[1:] < 0.0)
    x = end * np.sqrt(0.5 * (1.0 + t[change]))
    assert len(x) == terms
    error = at_points(odd_series(np.sin, end, terms), x) - np.sin(x)
    between = end * np.sqrt(0.5 * (1.0 + np.cos(np.pi * np.arange(terms + 1) / terms)))
    largest = np.abs(at_points(odd_series(np.sin, end, terms), between) - np.sin(between)).max()
    assert np.abs(error).max() < 1e-3 * largest


def test_every_point_of_the_range_is_close():
    x = np.linspace(0.0, 0.5, 1001)
    assert at_points(odd_series(np.arctan, 0.5, 8), x) == pytest.approx(np.arctan(x), abs=1e-9)
