"""From light at the middles of texels to means over texels."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Flags
from glint.optics.blocks import Blocks
from glint.optics.borrow import borrowed
from glint.optics.chart import LEAF
from glint.optics.compile import kernel
from glint.optics.threads import share_out

SHARE = np.float32(1.0 / 24.0)
"""A texel's mean differs from its middle by the sum of both second derivatives over 24 (Taylor's
series of the integral, texels of side 1), and that sum is what the four neighbours differ by."""

KEPT = np.float32(1.0 - 4.0 / 24.0)


LIT, TOP, BOTTOM, LEFT, RIGHT = (np.uint8(1 << bit) for bit in range(5))
"""Of a leaf: that it is lit, and which of its sides are."""


@kernel
def _within(above, here, below, first, last, row):
    """Add the means of a stretch of texels whose neighbours are all on the surface.

    above, here, below: (3 w,) float32, rows of middles, three colours a texel; row: of the map.
    """
    for j in range(first, last):
        row[j] += KEPT * here[j] + SHARE * (above[j] + below[j] + here[j - 3] + here[j + 3])


@kernel
def _at_rim(centres, inside, i, j, k):
    """The mean of one texel that exchanges light with neighbours on the surface alone."""
    height, width = inside.shape
    here = centres[i, 3 * j + k]
    apart = np.float32(0.0)
    if i > 0 and inside[i - 1, j]:
        apart += centres[i - 1, 3 * j + k] - here
    if i + 1 < height and inside[i + 1, j]:
        apart += centres[i + 1, 3 * j + k] - here
    if j > 0 and inside[i, j - 1]:
        apart += centres[i, 3 * j - 3 + k] - here
    if j + 1 < width and inside[i, j + 1]:
        apart += centres[i, 3 * j + 3 + k] - here
    return here + SHARE * apart


@kernel
def lit_sides(light, rows, columns):
    """LIT, and of which of its sides there is light, of a leaf's texels (LEAF**2, 3) float.

    rows, columns: of the leaf that are on the map. Light may be below zero: parts of a twinkle are.
    """
    sides = LIT
    for j in range(columns):
        if light[j].any():
            sides |= TOP
        if light[(rows - 1) * LEAF + j].any():
            sides |= BOTTOM
    for i in range(rows):
        if light[i * LEAF].any():
            sides |= LEFT
        if light[i * LEAF + columns - 1].any():
            sides |= RIGHT
    return sides


@kernel
def _beside(met, r, c):
    """Whether a leaf that is not lit itself has lit texels beside it."""
    height, width = met.shape
    return (
        (r > 0 and met[r - 1, c] & BOTTOM != 0)
        or (r + 1 < height and met[r + 1, c] & TOP != 0)
        or (c > 0 and met[r, c - 1] & RIGHT != 0)
        or (c + 1 < width and met[r, c + 1] & LEFT != 0)
    )


@kernel
def _add_rows(first, last, given):
    """Neighbours exchange light with each other alone, so none is lost; beyond a rim is nobody."""
    centres, inside, whole, met, order, lux, touched = borrowed(given)
    height, width = inside.shape
    for job in range(first, last):
        r = order[job]
        c, columns = 0, min(met.shape[1], (width + LEAF - 1) // LEAF)
        if r * LEAF >= height:
            continue  # leaves that only fill up a hall
        while c < columns:
            if met[r, c] == 0 and not _beside(met, r, c):
                c += 1
                continue
            begin, even = c, whole[r, c]
            while c < columns and whole[r, c] == even and (met[r, c] != 0 or _beside(met, r, c)):
                touched[r, c] = True
                c += 1
            left, right = begin * LEAF, min(c * LEAF, width)
            for i in range(r * LEAF, min((r + 1) * LEAF, height)):
                if even:
                    _within(centres[i - 1], centres[i], centres[i + 1], 3 * left, 3 * right, lux[i])
                    continue
                for j in range(left, right):
                    if inside[i, j]:
                        for k in range(3):
                            lux[i, 3 * j + k] += _at_rim(centres, inside, i, j, k)


def add_means(
    centres: np.ndarray, met: np.ndarray, blocks: Blocks, lux: np.ndarray, touched: Flags
) -> None:
    """Add to a map the means over texels of light known at their middles.

    centres, lux: (h, w, 3) float32, lx; met: (R, C) uint8, LIT and which sides, of leaves
    that are lit;
    touched: (R, C) bool, leaves that light is added to are set, the others left.
    """
    height, width = lux.shape[:2]
    given = (
        centres.reshape(height, 3 * width),
        blocks.inside,
        blocks.whole,
        met,
        blocks.rows,
        lux.reshape(height, 3 * width),
        touched,
    )
    share_out(len(blocks.rows), _add_rows, given)


@kernel
def clear(centres: np.ndarray, met: np.ndarray) -> None:
    """Set marked leaves of a map, (h, w, 3) float32, to zero."""
    for r in range(met.shape[0]):
        for c in range(met.shape[1]):
            if met[r, c]:
                for i in range(r * LEAF, min((r + 1) * LEAF, centres.shape[0])):
                    for j in range(c * LEAF, min((c + 1) * LEAF, centres.shape[1])):
                        for k in range(3):
                            centres[i, j, k] = 0.0
