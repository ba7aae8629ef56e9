"""The still part of a view: what of the room each pixel sees, read from the light maps."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.borrow import borrowed
from glint.optics.compile import kernel
from glint.optics.threads import share_out
from glint.optics.tone import BLOCK


class Backdrop(NamedTuple):
    """The places of the light maps that each pixel sees.

    start: (p + 1,) int32, the taps of each pixel, row by row
    texel: (t, 4) int32, the four texels about each place, in RoomLight.lux
    part: (t, 2) float32, how far the place lies from the left ones and from the upper ones
    weight: (t, 3) float32, luminance per lux: paint over pi, times the share of the pixel
    still: (h, w, 3) float32, luminance to be added, of things that stand before the room
    """

    start: np.ndarray
    texel: np.ndarray
    part: np.ndarray
    weight: np.ndarray
    still: np.ndarray


def draw_backdrop(backdrop, room, blocks, picture):
    """Luminance of the room in the pixels of some blocks.

    blocks: (ceil(h / BLOCK), ceil(w / BLOCK)) bool. picture: (h, w, 3) float32, written there.
    """
    given = (backdrop, room, blocks, picture)
    share_out(len(picture), _draw_rows, given)


@kernel
def _draw_rows(first, last, given):
    backdrop, room, blocks, picture = borrowed(given)
    width = picture.shape[1]
    lux = room.lux
    for i in range(first, last):
        for block in range(blocks.shape[1]):
            if not blocks[i // BLOCK, block]:
                continue
            for j in range(block * BLOCK, min((block + 1) * BLOCK, width)):
                pixel = i * width + j
                still = backdrop.still[i, j]
                r, g, blue = still[0], still[1], still[2]
                for t in range(backdrop.start[pixel], backdrop.start[pixel + 1]):
                    a, b = backdrop.texel[t, 0], backdrop.texel[t, 1]
                    c, d = backdrop.texel[t, 2], backdrop.texel[t, 3]
                    fx, fy = backdrop.part[t, 0], backdrop.part[t, 1]
                    gx, gy = np.float32(1.0) - fx, np.float32(1.0) - fy
                    p, q, u, v = gx * gy, fx * gy, gx * fy, fx * fy
                    w = backdrop.weight[t]
                    r += w[0] * (p * lux[a, 0] + q * lux[b, 0] + u * lux[c, 0] + v * lux[d, 0])
                    g += w[1] * (p * lux[a, 1] + q * lux[b, 1] + u * lux[c, 1] + v * lux[d, 1])
                    blue += w[2] * (p * lux[a, 2] + q * lux[b, 2] + u * lux[c, 2] + v * lux[d, 2])
                picture[i, j, 0], picture[i, j, 1], picture[i, j, 2] = r, g, blue
