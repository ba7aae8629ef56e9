"""Blocks of a chart's texels, small and large, each in a sphere: what is far is skipped whole."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats, Integers
from glint.optics.chart import LEAF, Chart, block_spheres, on_surface

HALL = 8
"""Leaves along the side of a hall."""

STRIDE = 7
"""Work is handed out with this stride, so that every worker gets bright and dark parts."""


class Blocks(NamedTuple):
    """A chart's blocks: leaves of LEAF texels a side, and halls of HALL leaves a side.

    leaf: (R, C, 4) float, m, centre and radius; a radius below zero marks a leaf off the surface
    hall: (r, c, 4) float, the same; R and C are HALL times r and c
    halls: (r c,) int, halls in the order of work
    rows: (R,) int, rows of leaves in the order of work
    inside: (h, w) bool, texels on the surface
    """

    leaf: Floats
    hall: Floats
    halls: Integers
    rows: Integers
    inside: Flags


def blocks_of(chart: Chart) -> Blocks:
    """The blocks of a chart; worth keeping, as they cost a look at every texel."""
    place = np.ascontiguousarray(chart.place)
    leaf = block_spheres(chart.kind, chart.size, place, chart.form, LEAF)
    hall = block_spheres(chart.kind, chart.size, place, chart.form, LEAF * HALL)
    inside = on_surface(chart.kind, chart.size, place, chart.form)
    padded = np.full((HALL * hall.shape[0], HALL * hall.shape[1], 4), -1.0)
    padded[: leaf.shape[0], : leaf.shape[1]] = leaf
    return Blocks(padded, hall, _dealt(hall.shape[0] * hall.shape[1]), _dealt(len(padded)), inside)


def _dealt(number: int) -> Integers:
    return np.concatenate([np.arange(first, number, STRIDE) for first in range(STRIDE)])
