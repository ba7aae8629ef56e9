"""Blocks of a chart's texels, small and large, each in a sphere: what is far is skipped whole."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats, Integers
from glint.optics.chart import LEAF, Chart, block_spheres, on_surface
from glint.optics.compile import kernel

LEAST_LEAVES = 4
"""Fewest leaves along the side of a hall."""

HALLS = 16
"""Halls along the side of a large chart, about."""

STRIDE = 7
"""Work is handed out with this stride, so that every worker gets bright and dark parts."""


class Blocks(NamedTuple):
    """A chart's blocks: leaves of LEAF texels a side, and halls of whole leaves.

    leaf: (R, C, 4) float, m, centre and radius; a radius below zero marks a leaf off the surface
    hall: (r, c, 4) float, the same; R and C are whole multiples of r and c
    halls: (r c,) int, halls in the order of work
    rows: (R,) int, rows of leaves in the order of work
    inside: (h, w) bool, texels on the surface
    whole: (R, C) bool, leaves that are on it with all their neighbouring texels
    """

    leaf: Floats
    hall: Floats
    halls: Integers
    rows: Integers
    inside: Flags
    whole: Flags


def blocks_of(chart: Chart) -> Blocks:
    """The blocks of a chart; worth keeping, as they cost a look at every texel."""
    place = np.ascontiguousarray(chart.place)
    wide = max(LEAST_LEAVES, int(max(chart.size)) // (HALLS * LEAF))
    leaf = block_spheres(chart.kind, chart.size, place, chart.form, LEAF)
    hall = block_spheres(chart.kind, chart.size, place, chart.form, LEAF * wide)
    inside = on_surface(chart.kind, chart.size, place, chart.form)
    whole = _whole(inside, hall.shape[0] * wide, hall.shape[1] * wide)
    padded = np.full((hall.shape[0] * wide, hall.shape[1] * wide, 4), -1.0)
    padded[: leaf.shape[0], : leaf.shape[1]] = leaf
    return Blocks(
        padded, hall, _dealt(hall.shape[0] * hall.shape[1]), _dealt(len(padded)), inside, whole
    )


@kernel
def _whole(inside, rows, columns):
    height, width = inside.shape
    whole = np.zeros((rows, columns), np.bool_)
    for r in range(rows):
        for c in range(columns):
            top, left = r * LEAF - 1, c * LEAF - 1
            if top < 0 or left < 0 or top + LEAF + 1 >= height or left + LEAF + 1 >= width:
                continue
            whole[r, c] = inside[top : top + LEAF + 2, left : left + LEAF + 2].all()
    return whole


def _dealt(number: int) -> Integers:
    return np.concatenate([np.arange(first, number, STRIDE) for first in range(STRIDE)])


@kernel
def restore(still: np.ndarray, marked: Flags, lux: np.ndarray) -> None:
    """Set marked leaves of a map, (h, w, 3) float32, to what they are in another."""
    for r in range(marked.shape[0]):
        for c in range(marked.shape[1]):
            if not marked[r, c]:
                continue
            for row in range(r * LEAF, min((r + 1) * LEAF, lux.shape[0])):
                for column in range(c * LEAF, min((c + 1) * LEAF, lux.shape[1])):
                    for k in range(3):
                        lux[row, column, k] = still[row, column, k]
