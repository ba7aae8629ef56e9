"""A leaf's light, put on a map as means over texels."""

from __future__ import annotations

import numpy as np

from glint.optics.chart import LEAF
from glint.optics.compile import kernel

ROW = 3 * LEAF
"""Numbers in a row of a leaf, three colours a texel."""

MIDDLE, CORNER = np.float32(2.0 / 3.0), np.float32(1.0 / 12.0)
"""What the light at a texel's middle and at each corner is worth in the mean over the texel: exact
for polynomials of degree three in both directions together (Taylor's series; worked out in the
test)."""


@kernel
def _all_inside(inside, top, left):
    if top + LEAF > inside.shape[0] or left + LEAF > inside.shape[1]:
        return False
    for i in range(top, top + LEAF):
        for j in range(left, left + LEAF):
            if not inside[i, j]:
                return False
    return True


@kernel
def _mean(light, i, j):
    """Number j of row i of a leaf's means."""
    above = LEAF * ROW + i * (ROW + 3) + j
    below = above + ROW + 3
    corners = light[above] + light[above + 3] + light[below] + light[below + 3]
    return MIDDLE * light[i * ROW + j] + CORNER * corners


@kernel
def add_points(light, r, c, inside, lux):
    """Add light known at the middles of texels and at their corners.

    light: (3 (LEAF**2 + (LEAF + 1)**2),) float32, lx, three colours a point; r, c: the leaf's
    place; inside: (h, w) bool, texels on the surface; lux: (h, 3 w) float32.
    """
    top, left = r * LEAF, c * LEAF
    if _all_inside(inside, top, left):
        for i in range(LEAF):
            for j in range(ROW):
                lux[top + i, 3 * left + j] += _mean(light, i, j)
        return
    for i in range(min(LEAF, inside.shape[0] - top)):
        for j in range(min(ROW, 3 * (inside.shape[1] - left))):
            if inside[top + i, left + j // 3]:
                lux[top + i, 3 * left + j] += _mean(light, i, j)


@kernel
def add_means(means, r, c, inside, lux):
    """Add light known as means over texels, (LEAF**2, 3) float32, lx; the rest as above."""
    for i in range(min(LEAF, inside.shape[0] - r * LEAF)):
        for j in range(min(LEAF, inside.shape[1] - c * LEAF)):
            row, column = r * LEAF + i, c * LEAF + j
            if inside[row, column]:
                for k in range(3):
                    lux[row, 3 * column + k] += means[i * LEAF + j, k]
