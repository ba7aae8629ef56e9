"""The still part of a view: what of the room each pixel sees, read from the light maps."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import prange

from glint.optics.compile import kernel


class Backdrop(NamedTuple):
    """The places of the light maps that each pixel sees.

    start: (p + 1,) int32, the taps of each pixel, row by row
    texel: (t, 4) int32, the four texels about each place, in RoomLight.lux
    part: (t, 2) float32, how far the place lies from the left ones and from the upper ones
    weight: (t, 3) float32, luminance per lux: paint over pi, times the share of the pixel
    """

    start: np.ndarray
    texel: np.ndarray
    part: np.ndarray
    weight: np.ndarray


@kernel(parallel=True)
def draw_backdrop(backdrop, room, picture):
    """Luminance of the room in every pixel. picture: (h, w, 3) float32, written."""
    height, width = picture.shape[0], picture.shape[1]
    lux = room.lux
    for i in prange(height):
        for j in range(width):
            pixel = i * width + j
            r = g = blue = np.float32(0.0)
            for t in range(backdrop.start[pixel], backdrop.start[pixel + 1]):
                a, b = backdrop.texel[t, 0], backdrop.texel[t, 1]
                c, d = backdrop.texel[t, 2], backdrop.texel[t, 3]
                fx, fy = backdrop.part[t, 0], backdrop.part[t, 1]
                gx, gy = np.float32(1.0) - fx, np.float32(1.0) - fy
                wa, wb, wc, wd = gx * gy, fx * gy, gx * fy, fx * fy
                w = backdrop.weight[t]
                r += w[0] * (wa * lux[a, 0] + wb * lux[b, 0] + wc * lux[c, 0] + wd * lux[d, 0])
                g += w[1] * (wa * lux[a, 1] + wb * lux[b, 1] + wc * lux[c, 1] + wd * lux[d, 1])
                blue += w[2] * (wa * lux[a, 2] + wb * lux[b, 2] + wc * lux[c, 2] + wd * lux[d, 2])
            picture[i, j, 0], picture[i, j, 1], picture[i, j, 2] = r, g, blue
