"""The still part of a view: what of the room each pixel sees, read from the light maps.

What is read of one block of pixels lies together, in few bytes: fetching it takes most of the time.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags
from glint.kernels.image.tone_mapping import BLOCK
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.room_texture import neighbours

PARTS = 65535
"""Steps that the way from a texel to the next one is told in."""


class Backdrop(NamedTuple):
    """The places of the light maps that each pixel sees.

    start: (p + 1,) int32, the taps of each pixel, block by block of BLOCK pixels a side, row by row
        in each; pixels of a block beyond the picture's rim have none
    texel: (t, 2) int32, in RoomLight.lux, the upper left one of the four texels about each place
        and the lower left one, to each of which the next one is its neighbour to the right
    part: (t, 2) uint16, how far the place lies from the left ones and from the upper ones, in PARTS
    weight: (t, 3) float32, luminance per lux: paint over pi, times the share of the pixel
    still: (h, w, 3) float32, luminance to be added, of things that stand before the room
    things: (ceil(h / BLOCK), ceil(w / BLOCK)) bool, blocks where there are any
    """

    start: np.ndarray
    texel: np.ndarray
    part: np.ndarray
    weight: np.ndarray
    still: np.ndarray
    things: Flags


def by_blocks(height: int, width: int) -> np.ndarray:
    """Place of each pixel of a picture (h, w) int in the order of blocks, see `Backdrop.start`."""
    y, x = np.arange(height), np.arange(width)
    down = y // BLOCK * -(-width // BLOCK) * BLOCK**2 + y % BLOCK * BLOCK
    return down[:, None] + (x // BLOCK * BLOCK**2 + x % BLOCK)


@kernel
def _count(light, number, surface, column, row, place, start):
    """Count the taps of each pixel, in start one place further on; start: 0 before."""
    for i in range(number.shape[0]):
        a, b, _, _, _, _ = neighbours(light, surface[i], column[i], row[i])
        start[place[number[i]] + 1] += 2 if b < a else 1
    for p in range(start.shape[0] - 1):
        start[p + 1] += start[p]


@kernel
def _fill(light, taps, place, free, texel, part, weight):
    """Write taps where they belong. free: (p,) int32, the first tap of each pixel; written over.

    Of each tap the right texels follow the left ones: at a rim, where left and right are one, it
    moves to the next pair; where a map closes upon itself, its last and first column are a tap
    each.
    """
    number, surface, column, row, paint = taps
    for i in range(number.shape[0]):
        p = place[number[i]]
        left, right, below, other, x, y = neighbours(light, surface[i], column[i], row[i])
        across = np.uint16(round(x * PARTS))
        for half in range(2 if right < left else 1):
            t, share = free[p], 1.0
            free[p] += 1
            if right == left + 1:
                texel[t, 0], texel[t, 1], part[t, 0] = left, below, across
            elif half == 0:
                # All of what is left, as the right one of a pair.
                texel[t, 0], texel[t, 1], part[t, 0] = left - 1, below - 1, PARTS
                share = 1.0 - x if right < left else 1.0
            else:
                texel[t, 0], texel[t, 1], part[t, 0] = right, other, 0
                share = x
            part[t, 1] = np.uint16(round(y * PARTS))
            for k in range(3):
                weight[t, k] = share * paint[i, k]


def arranged(light, number, surface, column, row, weight, place, blocks):
    """The first four arrays of a Backdrop.

    light: RoomLight; number: (n,) int, the pixel of each tap; surface: (n,) int; column, row: (n,)
    float, its place there; weight: (n, 3) float; place: of every pixel, from `by_blocks`; blocks:
    how many there are.
    """
    start = np.zeros(blocks * BLOCK**2 + 1, np.int32)
    _count(light, number, surface, column, row, place, start)
    some = int(start[-1])
    texel, part = np.empty((some, 2), np.int32), np.empty((some, 2), np.uint16)
    told = np.empty((some, 3), np.float32)
    _fill(light, (number, surface, column, row, weight), place, start.copy(), texel, part, told)
    return start, texel, part, told


def draw_backdrop(backdrop, room, blocks, picture):
    """Luminance of the room in the pixels of some blocks.

    blocks: (ceil(h / BLOCK), ceil(w / BLOCK)) bool. picture: (h, w, 3) float32, written there.
    """
    given = (*backdrop, room.lux, blocks, picture)
    share_out(len(blocks), _draw_rows, given)


@kernel
def _draw_rows(first, last, given):
    start, texel, part, weight, still, things, lux, blocks, picture = uncounted(given)
    height, width = picture.shape[0], picture.shape[1]
    one, unit = np.float32(1.0), np.float32(1.0 / PARTS)
    # Numbers, not slices, in here: each slice would be counted (see `borrow`).
    for row in range(first, last):
        for column in range(blocks.shape[1]):
            if not blocks[row, column]:
                continue
            pixel = (row * blocks.shape[1] + column) * BLOCK * BLOCK
            before = things[row, column]
            t = start[pixel]
            for k in range(BLOCK * BLOCK):
                i, j = row * BLOCK + k // BLOCK, column * BLOCK + k % BLOCK
                if i >= height or j >= width:
                    continue
                r = g = b = np.float32(0.0)
                if before:
                    r, g, b = still[i, j, 0], still[i, j, 1], still[i, j, 2]
                after = start[pixel + k + 1]
                while t < after:
                    upper, lower = texel[t, 0], texel[t, 1]
                    x, y = np.float32(part[t, 0]) * unit, np.float32(part[t, 1]) * unit
                    v = one - y
                    p, q = v - v * x, v * x
                    u, v = y - y * x, y * x
                    r += weight[t, 0] * (
                        p * lux[upper, 0]
                        + q * lux[upper + 1, 0]
                        + u * lux[lower, 0]
                        + v * lux[lower + 1, 0]
                    )
                    g += weight[t, 1] * (
                        p * lux[upper, 1]
                        + q * lux[upper + 1, 1]
                        + u * lux[lower, 1]
                        + v * lux[lower + 1, 1]
                    )
                    b += weight[t, 2] * (
                        p * lux[upper, 2]
                        + q * lux[upper + 1, 2]
                        + u * lux[lower, 2]
                        + v * lux[lower + 1, 2]
                    )
                    t += 1
                picture[i, j, 0], picture[i, j, 1], picture[i, j, 2] = r, g, b
