"""A leaf's light as means over texels, against integrals worked out here."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.surfaces.equal_area import ACROSS, LEAF, UP
from glint.kernels.surfaces.texel_means import add_means, points_to_means

POWERS = [(i, j) for i in range(4) for j in range(4 - i)]


@pytest.mark.parametrize("powers", POWERS)
def test_means_of_polynomials_of_degree_three_are_exact(powers):
    i, j = powers
    light = (ACROSS / LEAF) ** i * (UP / LEAF) ** j
    lux = np.zeros((LEAF, 3 * LEAF), np.float32)
    inside = np.ones((LEAF, LEAF), bool)
    means = np.zeros(LEAF * LEAF)
    points_to_means(light, means)
    add_means(means, np.array([0.0, 1.0, 0.5]), 0, 0, inside, lux)

    def mean(power):
        at = np.arange(LEAF)
        whole = (at + 0.5) ** (power + 1) - (at - 0.5) ** (power + 1)
        return whole / (power + 1) / LEAF**power

    wanted = np.outer(mean(j), mean(i))
    assert lux.reshape(LEAF, LEAF, 3)[..., 1] == pytest.approx(wanted, abs=3e-7)
    assert lux.reshape(LEAF, LEAF, 3)[..., 2] == pytest.approx(0.5 * wanted, abs=3e-7)
    assert (lux.reshape(LEAF, LEAF, 3)[..., 0] == 0.0).all()


def test_texels_off_the_surface_and_off_the_map_get_nothing():
    means, white = np.zeros(LEAF * LEAF), np.ones(3)
    points_to_means(np.ones(len(ACROSS)), means)
    inside = np.ones((13, 11), bool)
    inside[9, 9] = False
    lux = np.zeros((13, 33), np.float32)
    add_means(means, white, 1, 1, inside, lux)
    add_means(means, white, 1, 1, inside, lux)
    wanted = np.zeros((13, 11))
    wanted[8:, 8:] = 2.0
    wanted[9, 9] = 0.0
    assert lux.reshape(13, 11, 3)[..., 2] == pytest.approx(wanted, abs=1e-6)
