"""From light at the middles of a leaf's texels to means over texels, added to a map."""

from __future__ import annotations

import numpy as np

from glint.optics.blocks import HALL
from glint.optics.chart import LEAF
from glint.optics.compile import kernel

SHARE = np.float32(1.0 / 24.0)
"""A texel's mean differs from its middle by the sum of both second derivatives over 24 (Taylor's
series of the integral, texels of side 1), and that sum is what the four neighbours differ by. So
each texel gives this share of its light to each neighbour: none is lost."""

KEPT = np.float32(1.0 - 4.0 / 24.0)

DOWN, RIGHT = (1, 0, -1, 0), (0, 1, 0, -1)
"""Steps to the four neighbours, rows and columns."""

ROW = 3 * LEAF
"""Numbers in a row of a leaf, three colours a texel."""


@kernel
def in_rim():
    """Room for a leaf's light in a rim two texels wide of zeros."""
    return np.zeros((LEAF + 4, ROW + 12), np.float32)


@kernel
def _lit(rim, row, column, step, number):
    """Whether there is light in a line of texels of a leaf, in `in_rim`."""
    for n in range(number):
        at = 3 * (column + n * (1 - step))
        for k in range(3):
            if rim[row + n * step, at + k] != 0.0:
                return True
    return False


@kernel
def _add_row(rim, i, target, row, first, number):
    """Add means over a row of texels and one more at both ends, row i of a leaf, to an array."""
    for j in range(number):
        beside = rim[i + 1, j + 3] + rim[i + 3, j + 3] + rim[i + 2, j] + rim[i + 2, j + 6]
        target[row, first + j] += KEPT * rim[i + 2, j + 3] + SHARE * beside


@kernel
def add_whole(middles, rim, r, c, lux, between, touched, passed):
    """Add a leaf's light, known at the middles of its texels, to a map as means over them and those
    beside them, all of which are on the surface.

    middles: (LEAF**2, 3) float, lx; rim: of `in_rim`; r, c: the leaf's place. lux: (h, 3 w)
    float32, of which this worker writes the rows of texels of one row of halls. between: (2, 3 w)
    float32, for what falls on the row of texels above those, and below. touched: (R, C) bool,
    leaves that get light are set; passed: (2, C) bool, the same of the rows above and below.
    """
    for i in range(LEAF):
        for j in range(LEAF):
            for k in range(3):
                rim[i + 2, 3 * j + 6 + k] = middles[i * LEAF + j, k]
    first, number = c * ROW - 3, ROW + 6
    touched[r, c] = True
    for i in range(LEAF):
        _add_row(rim, i, lux, r * LEAF + i, first, number)
    if _lit(rim, 2, 2, 0, LEAF):
        if r % HALL == 0:
            passed[0, c] = True
            _add_row(rim, -1, between, 0, first, number)
        else:
            touched[r - 1, c] = True
            _add_row(rim, -1, lux, r * LEAF - 1, first, number)
    if _lit(rim, LEAF + 1, 2, 0, LEAF):
        if (r + 1) % HALL == 0:
            passed[1, c] = True
            _add_row(rim, LEAF, between, 1, first, number)
        else:
            touched[r + 1, c] = True
            _add_row(rim, LEAF, lux, (r + 1) * LEAF, first, number)
    touched[r, c - 1] |= _lit(rim, 2, 2, 1, LEAF)
    touched[r, c + 1] |= _lit(rim, 2, LEAF + 1, 1, LEAF)


@kernel
def add_at_rim(middles, inside, r, c, lux, between, touched, passed):
    """`add_whole` where texels exchange light with neighbours on the surface alone.

    inside: (h, w) bool, texels on the surface
    """
    height, width = inside.shape
    above, below = r // HALL * HALL * LEAF, (r // HALL + 1) * HALL * LEAF
    touched[r, c] = True
    for i in range(r * LEAF, min((r + 1) * LEAF, height)):
        for j in range(c * LEAF, min((c + 1) * LEAF, width)):
            t = (i - r * LEAF) * LEAF + j - c * LEAF
            for k in range(3):
                lux[i, 3 * j + k] += middles[t, k]
            for side in range(4):
                row, column = i + DOWN[side], j + RIGHT[side]
                if not (0 <= row < height and 0 <= column < width and inside[row, column]):
                    continue
                if above <= row < below:
                    touched[row // LEAF, column // LEAF] = True
                else:
                    passed[int(row >= below), c] = True
                for k in range(3):
                    given = SHARE * np.float32(middles[t, k])
                    lux[i, 3 * j + k] -= given
                    if row < above:
                        between[0, 3 * column + k] += given
                    elif row >= below:
                        between[1, 3 * column + k] += given
                    else:
                        lux[row, 3 * column + k] += given


@kernel
def add_means(means, r, c, lux, touched):
    """Add a leaf's light, known as means over its texels, (LEAF**2, 3) float, to a map."""
    touched[r, c] = True
    for i in range(min(LEAF, lux.shape[0] - r * LEAF)):
        for j in range(min(ROW, lux.shape[1] - c * ROW)):
            lux[r * LEAF + i, c * ROW + j] += means[i * LEAF + j // 3, j % 3]


@kernel
def join(passed, between, lux, touched):
    """Add what rows of halls passed to those above and below.

    passed: (r, 2, C) bool; between: (r, 2, 3 w) float32; lux, touched: as in `add_whole`.
    """
    for band in range(passed.shape[0]):
        for side in range(2):
            row = (band + side) * HALL * LEAF - (1 - side)
            for c in range(passed.shape[2]):
                if not passed[band, side, c] or not 0 <= row < lux.shape[0]:
                    continue
                touched[row // LEAF, c] = True
                for j in range(c * ROW, min((c + 1) * ROW, lux.shape[1])):
                    lux[row, j] += between[band, side, j]
