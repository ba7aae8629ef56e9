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
def _beside(centres, met, r, c):
    """Whether a leaf that is not lit itself has lit texels beside it."""
    height, width = centres.shape[0], centres.shape[1] // 3
    top, left = r * LEAF, c * LEAF
    bottom, right = min(top + LEAF, height), min(left + LEAF, width)
    if r > 0 and met[r - 1, c] and centres[top - 1, 3 * left : 3 * right].any():
        return True
    if r + 1 < met.shape[0] and met[r + 1, c] and centres[bottom, 3 * left : 3 * right].any():
        return True
    if c > 0 and met[r, c - 1] and centres[top:bottom, 3 * left - 3 : 3 * left].any():
        return True
    return (
        c + 1 < met.shape[1]
        and met[r, c + 1]
        and centres[top:bottom, 3 * right : 3 * right + 3].any()
    )


@kernel
def _add_rows(first, last, given):
    """Neighbours exchange light with each other alone, so none is lost; beyond a rim is nobody."""
    centres, inside, whole, met, order, lux, touched = borrowed(given)
    height, width = inside.shape
    for job in range(first, last):
        r = order[job]
        for c in range(met.shape[1]):
            if r * LEAF >= height or c * LEAF >= width:
                continue  # a leaf that only fills up a hall
            if not met[r, c] and not _beside(centres, met, r, c):
                continue
            touched[r, c] = True
            left, right = c * LEAF, min((c + 1) * LEAF, width)
            for i in range(r * LEAF, min((r + 1) * LEAF, height)):
                if whole[r, c]:
                    _within(centres[i - 1], centres[i], centres[i + 1], 3 * left, 3 * right, lux[i])
                    continue
                for j in range(left, right):
                    if inside[i, j]:
                        for k in range(3):
                            lux[i, 3 * j + k] += _at_rim(centres, inside, i, j, k)


def add_means(
    centres: np.ndarray, met: Flags, blocks: Blocks, lux: np.ndarray, touched: Flags
) -> None:
    """Add to a map the means over texels of light known at their middles.

    centres, lux: (h, w, 3) float32, lx; met: (R, C) bool, leaves that are lit;
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
def clear(centres: np.ndarray, met: Flags) -> None:
    """Set marked leaves of a map, (h, w, 3) float32, to zero."""
    for r in range(met.shape[0]):
        for c in range(met.shape[1]):
            if met[r, c]:
                for i in range(r * LEAF, min((r + 1) * LEAF, centres.shape[0])):
                    for j in range(c * LEAF, min((c + 1) * LEAF, centres.shape[1])):
                        for k in range(3):
                            centres[i, j, k] = 0.0
