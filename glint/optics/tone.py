"""Light to picture: one exposure, one tone curve, sRGB codes with a still, fine dither."""

from __future__ import annotations

import math

import numpy as np

from glint.optics.borrow import borrowed
from glint.optics.compile import kernel
from glint.optics.threads import share_out

BLOCK = 8
"""Pixels along the side of a block that is written as a whole."""

NONE = np.float32(0.0)
BRIGHTEST = np.float32(3e38)
HALF = np.float32(0.5)


@kernel
def usable(value):
    """A channel of light as a number that can be reckoned with: not-a-number is no light."""
    if value > NONE:
        return value if value < BRIGHTEST else BRIGHTEST
    return NONE


def develop(light, scale, reach, curve, codes, thresholds, changed, picture):
    """Tone-map linear light to eight-bit sRGB, rows of blocks in parallel.

    light: (h, w, 3) float32, linear RGB; below zero counts as none
    scale: (3,) float32, exposure: light times scale goes into the curve
    reach: float32, the exposed light at the curve's last row; more counts as that much
    curve: (n, 4) float32, rows even in the square root of the exposed light of the strongest
        channel: the coloured part of its picture value, the rise of that to the next row, the
        white part, and the rise of that
    codes: (m,) uint16, 256 times the sRGB code, even in the linear picture value 0..1
    thresholds: (2**k, 2**k) uint16, 0..255, repeated over the picture
    changed: (ceil(h / BLOCK), ceil(w / BLOCK)) bool; of the picture, no other blocks are written
    picture: (h, w, 3) uint8, written

    A code is rounded up or down by its pixel's threshold, so it is right on average over the
    pixels and the same in every frame. Where there is no light at all the code is 0.
    """
    given = (light, scale, reach, curve, codes, thresholds, changed, picture)
    share_out(len(light), _develop_rows, given)


@kernel
def _develop_rows(first, last, given):
    light, scale, reach, curve, codes, thresholds, changed, picture = borrowed(given)
    width = light.shape[1]
    rows = np.float32(curve.shape[0] - 1)
    steps = np.float32(codes.shape[0] - 1)
    spread = rows / np.float32(math.sqrt(reach))
    period = thresholds.shape[0] - 1
    for y in range(first, last):
        here = thresholds[y & period]
        for block in range(changed.shape[1]):
            if not changed[y // BLOCK, block]:
                continue
            for x in range(block * BLOCK, min((block + 1) * BLOCK, width)):
                r = usable(light[y, x, 0] * scale[0])
                g = usable(light[y, x, 1] * scale[1])
                b = usable(light[y, x, 2] * scale[2])
                strongest = max(r, max(g, b))
                if strongest > NONE:
                    place = min(np.float32(math.sqrt(strongest)) * spread, rows)
                    row = np.uint32(place)
                    part = place - np.float32(row)
                    gain = (curve[row, 0] + part * curve[row, 1]) / strongest * steps
                    white = (curve[row, 2] + part * curve[row, 3]) * steps + HALF
                    t = here[x & period]
                    picture[y, x, 0] = (codes[np.uint32(min(r * gain + white, steps))] + t) >> 8
                    picture[y, x, 1] = (codes[np.uint32(min(g * gain + white, steps))] + t) >> 8
                    picture[y, x, 2] = (codes[np.uint32(min(b * gain + white, steps))] + t) >> 8
                else:
                    picture[y, x, 0] = 0
                    picture[y, x, 1] = 0
                    picture[y, x, 2] = 0
