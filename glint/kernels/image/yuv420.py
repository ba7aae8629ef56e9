"""Pictures as video keeps them: brightness of every pixel, colour of every four together."""

from __future__ import annotations

import numpy as np

from glint.kernels.runtime.jit import kernel

RED, GREEN, BLUE = 0.2126, 0.7152, 0.0722
"""What the primaries are worth in brightness (ITU-R BT.709-6, item 3.2)."""

BITS = 16
"""Fractions of a code are counted in units of 2**-BITS."""


def _fixed(weights: tuple[float, float, float], codes: float) -> tuple[np.int32, ...]:
    """Weights of red, green and blue, in units of 2**-BITS of a code; their sum is kept exactly."""
    scaled = [weight * codes / 255.0 * 2**BITS for weight in weights]
    red, blue = round(scaled[0]), round(scaled[2])
    return np.int32(red), np.int32(round(sum(scaled)) - red - blue), np.int32(blue)


LUMA = _fixed((RED, GREEN, BLUE), 219.0)
TO_BLUE = _fixed(
    (-RED / (2.0 - 2.0 * BLUE), -GREEN / (2.0 - 2.0 * BLUE), 0.5),
    224.0,
)
TO_RED = _fixed(
    (0.5, -GREEN / (2.0 - 2.0 * RED), -BLUE / (2.0 - 2.0 * RED)),
    224.0,
)
"""Luma over black, and colour difference, of which 219 and 224 codes are the whole range (item
3.4)."""

LUMA_BLACK = np.int32((16 << BITS) + (1 << (BITS - 1)))
NO_COLOUR = np.int32((128 << (BITS + 2)) + (1 << (BITS + 1)))
"""Codes of black and of grey, with half a code for rounding; of grey four times, as the sum of four
pixels is taken."""


@kernel
def to_video(picture, luma, blue, red):
    """Y'CbCr 4:2:0 in the limited range (ITU-R BT.709-6, items 3.2 to 3.4) of a picture.

    picture: (h, w, 3) uint8, R'G'B', h and w even. Written: luma (h, w), blue and red (h / 2,
    w / 2) uint8, colour differences of the mean of the four pixels that share them; rows may be
    longer. Each is the whole number nearest to the exact value, within 0.001 of a half. One thread
    does it: the others make the next picture.
    """
    yr, yg, yb = LUMA
    br, bg, bb = TO_BLUE
    rr, rg, rb = TO_RED
    width = picture.shape[1]
    flat = picture.reshape(picture.shape[0], 3 * width)
    for y in range(picture.shape[0]):
        for x in range(width):
            r = np.int32(flat[y, 3 * x])
            g = np.int32(flat[y, 3 * x + 1])
            b = np.int32(flat[y, 3 * x + 2])
            luma[y, x] = (yr * r + yg * g + yb * b + LUMA_BLACK) >> BITS
    for y in range(picture.shape[0] // 2):
        top, bottom = flat[2 * y], flat[2 * y + 1]
        for x in range(width // 2):
            r = np.int32(top[6 * x]) + np.int32(top[6 * x + 3])
            g = np.int32(top[6 * x + 1]) + np.int32(top[6 * x + 4])
            b = np.int32(top[6 * x + 2]) + np.int32(top[6 * x + 5])
            r += np.int32(bottom[6 * x]) + np.int32(bottom[6 * x + 3])
            g += np.int32(bottom[6 * x + 1]) + np.int32(bottom[6 * x + 4])
            b += np.int32(bottom[6 * x + 2]) + np.int32(bottom[6 * x + 5])
            blue[y, x] = (br * r + bg * g + bb * b + NO_COLOUR) >> (BITS + 2)
            red[y, x] = (rr * r + rg * g + rb * b + NO_COLOUR) >> (BITS + 2)
