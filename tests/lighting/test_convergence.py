"""The error of a mean, told from its halves, against sums that are known."""

from __future__ import annotations

import numpy as np
import pytest

from glint.lighting.convergence import FINEST, error_of_halves, reduced

WIDTH = 0.015
PLACES = np.linspace(0.0, 1.0, 256, endpoint=False)


def passed(count, offset=0.0):
    """Light on a ring of texels that a soft spot passes once, at evenly spaced instants."""
    away = (PLACES[:, None] - (np.arange(count) + offset) / count + 0.5) % 1.0 - 0.5
    return np.exp(-0.5 * (away / WIDTH) ** 2).mean(axis=1).reshape(16, 16)


@pytest.mark.parametrize("count", [12, 16, 20])
def test_the_error_of_half_of_the_instants(count):
    exact = passed(2000)
    found = error_of_halves({"ring": passed(count)}, {"ring": passed(count, 0.5)}, {"ring": 1.0})
    true = np.sqrt(((passed(count) - exact) ** 2).mean() / (exact**2).mean())
    assert found == pytest.approx(true, rel=0.25)


def test_dark_surfaces_do_not_count():
    one = {"bright": np.ones((8, 8)), "dark": np.full((8, 8), 1e-3)}
    other = {"bright": np.ones((8, 8)), "dark": np.full((8, 8), 2e-3)}
    areas = {"bright": 1.0, "dark": 1.0}
    assert error_of_halves(one, other, areas) == 0.0
    assert error_of_halves(one, other, {"bright": 1.0, "dark": 10.0}) == pytest.approx(1 / 3)


@pytest.mark.parametrize("size", [2 * FINEST, 2 * FINEST - 2, 64])
def test_reduced_maps_keep_their_light(size):
    lux = np.random.default_rng(2).random((size, size, 3))
    small = reduced(lux)
    assert max(small.shape) <= FINEST
    block = -(-size // FINEST)
    assert small.sum() * block**2 == pytest.approx(lux.sum())
