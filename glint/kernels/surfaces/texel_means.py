"""A leaf's light, put on a map as means over texels."""

from __future__ import annotations

import numpy as np

from glint.kernels.runtime.jit import kernel
from glint.kernels.surfaces.equal_area import LEAF

MIDDLE, CORNER = 2.0 / 3.0, 1.0 / 12.0
"""What the light at a texel's middle and at each corner is worth in the mean over the texel: exact
for polynomials of degree three in both directions together (Taylor's series; worked out in the
test)."""


@kernel
def _all_inside(inside, top, left):
    if top + LEAF > inside.shape[0] or left + LEAF > inside.shape[1]:
        return False
    number = 0
    for i in range(LEAF):
        for j in range(LEAF):
            number += inside[np.uint64(top + i), np.uint64(left + j)]
    return number == LEAF * LEAF


@kernel
def points_to_means(light, means):
    """Add to the means over a leaf's texels what is known at their middles and corners.

    light: (LEAF**2 + (LEAF + 1)**2,) float, means: (LEAF**2,) float, lx
    """
    for i in range(LEAF):
        for j in range(LEAF):
            above = LEAF * LEAF + i * (LEAF + 1) + j
            below = above + LEAF + 1
            corners = light[above] + light[above + 1] + light[below] + light[below + 1]
            means[i * LEAF + j] += MIDDLE * light[i * LEAF + j] + CORNER * corners


@kernel
def add_means(means, colour, r, c, inside, lux):
    """Add the light of a leaf to a map.

    means: (LEAF**2,) float, lx, over texels, of one colour, (3,) float; r, c: the leaf's place;
    inside: (h, w) bool, texels on the surface; lux: (h, 3 w) float32
    """
    top, left = r * LEAF, c * LEAF
    red, green, blue = np.float32(colour[0]), np.float32(colour[1]), np.float32(colour[2])
    if _all_inside(inside, top, left):
        # All texels alike: the processor takes several at once.
        for i in range(LEAF):
            row = lux[top + i, 3 * left : 3 * (left + LEAF)]
            for j in range(LEAF):
                value = np.float32(means[i * LEAF + j])
                row[3 * j] += value * red
                row[3 * j + 1] += value * green
                row[3 * j + 2] += value * blue
        return
    for i in range(min(LEAF, inside.shape[0] - top)):
        for j in range(min(LEAF, inside.shape[1] - left)):
            if inside[top + i, left + j]:
                value, column = np.float32(means[i * LEAF + j]), 3 * (left + j)
                lux[top + i, column] += value * red
                lux[top + i, column + 1] += value * green
                lux[top + i, column + 2] += value * blue
