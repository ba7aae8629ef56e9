"""Light to picture: one exposure, one tone curve, sRGB codes with a still, fine dither."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted

BLOCK = 8
"""Pixels along the side of a block that is written as a whole."""

NONE = np.float32(0.0)
BRIGHTEST = np.float32(3e38)
STRIP = 128
"""Most pixels of a row at once."""

LEAST = np.float32(1e-37)
HALF, ONE = np.float32(0.5), np.float32(1.0)


@kernel
def usable(value):
    """A channel of light as a number that can be computed with: not-a-number is no light."""
    some = value if value > NONE else NONE
    return some if some < BRIGHTEST else BRIGHTEST


def develop(light, scale, reach, curve, codes, thresholds, changed, picture):
    """Tone-map linear light to eight-bit sRGB, rows of blocks in parallel.

    light: (h, w, 3) float32, linear RGB; below zero counts as none
    scale: (3,) float32, exposure: light times scale goes into the curve
    reach: float32, the exposed light at the curve's last row; more counts as that much
    curve: (n, 4) float32, rows even in the square root of the exposed light of the strongest
        channel: the coloured part of its picture value, the rise of that to the next row, the
        white part, and the rise of that
    codes: (m,) uint16, 256 times the sRGB code, even in the square root of the linear picture value
        0..1
    thresholds: (2**k, 2**k) uint16, 0..255, repeated over the picture
    changed: (ceil(h / BLOCK), ceil(w / BLOCK)) bool, or larger; of the picture, no other blocks are
        written
    picture: (h, w, 3) uint8, written

    A code is rounded up or down by its pixel's threshold, so it is right on average over the
    pixels and the same in every frame. Where there is no light at all the code is 0.
    """
    given = (light, scale, reach, curve, codes, thresholds, changed, picture)
    share_out(len(light), _develop_rows, given)


@kernel
def _strengths(lit, scale, spread, rows, work, whole):
    """Red, green and blue of exposed light in rows 0 to 2 of the work, the strongest in row 3, and
    how far it is from its row of the curve, which is written to whole, in row 4."""
    red, green, blue = scale[0], scale[1], scale[2]
    for x in range(lit.size // 3):
        at = np.uint64(3) * np.uint64(x)
        r = usable(lit[at] * red)
        g = usable(lit[at + np.uint64(1)] * green)
        b = usable(lit[at + np.uint64(2)] * blue)
        strongest = r if r > g else g
        strongest = strongest if strongest > b else b
        place = min(np.float32(math.sqrt(strongest)) * spread, rows)
        whole[x] = np.uint32(place)
        work[0, x], work[1, x], work[2, x], work[3, x] = r, g, b, strongest
        work[4, x] = place - np.float32(np.uint32(place))


@kernel
def _places(number, steps, work, places):
    """Places of red, green and blue in the table of codes, (3, STRIP) uint32."""
    for x in range(number):
        part = work[4, x]
        # Without light nothing of what is divided here is left.
        gain = (work[5, x] + part * work[6, x]) / max(work[3, x], LEAST)
        white = work[7, x] + part * work[8, x]
        r, g, b = work[0, x] * gain + white, work[1, x] * gain + white, work[2, x] * gain + white
        places[0, x] = np.uint32(np.float32(math.sqrt(min(r, ONE))) * steps + HALF)
        places[1, x] = np.uint32(np.float32(math.sqrt(min(g, ONE))) * steps + HALF)
        places[2, x] = np.uint32(np.float32(math.sqrt(min(b, ONE))) * steps + HALF)


@kernel
def _develop_rows(first, last, given):
    light, scale, reach, curve, codes, thresholds, changed, picture = uncounted(given)
    width = light.shape[1]
    rows, steps = np.float32(curve.shape[0] - 1), np.float32(codes.shape[0] - 1)
    spread = rows / np.float32(math.sqrt(reach))
    period = thresholds.shape[0] - 1
    work, whole = np.empty((9, STRIP), np.float32), np.empty(STRIP, np.uint32)
    places = np.empty((3, STRIP), np.uint32)
    for y in range(first, last):
        here, written = thresholds[y & period], changed[y // BLOCK]
        lit, line = light[y].ravel(), picture[y].ravel()
        block, end = 0, -(-width // BLOCK)
        while block < end:
            start = block * BLOCK
            while block < end and written[block] and block * BLOCK - start < STRIP:
                block += 1
            number = min(block * BLOCK, width) - start
            if number == 0:
                block += 1
                continue
            # What is looked up stands between loops of arithmetic, of which the processor takes
            # many pixels at once.
            _strengths(lit[3 * start : 3 * (start + number)], scale, spread, rows, work, whole)
            for x in range(number):
                row = whole[x]
                work[5, x], work[6, x] = curve[row, 0], curve[row, 1]
                work[7, x], work[8, x] = curve[row, 2], curve[row, 3]
            _places(number, steps, work, places)
            for x in range(number):
                t, at = here[(start + x) & period], 3 * (start + x)
                line[at] = (codes[places[0, x]] + t) >> 8
                line[at + 1] = (codes[places[1, x]] + t) >> 8
                line[at + 2] = (codes[places[2, x]] + t) >> 8
