"""Blocks of a chart's texels, small and large, each in a sphere: what is far is skipped whole."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import LEAF, Chart, point

NODE = 8
"""Leaves along the side of a node."""

STRIDE = 7
"""Work is handed out with this stride, so that every worker gets bright and dark parts."""


class TexelTree(NamedTuple):
    """A chart's blocks: leaves of LEAF texels a side, and nodes of NODE leaves a side.

    leaf: (R, C, 4) float, m, centre and radius; a radius below zero marks a leaf off the surface
    node: (r, c, 4) float, the same; R and C are NODE times r and c
    nodes: (r c,) int, nodes in the order of work
    inside: (h, w) bool, texels on the surface
    """

    leaf: Floats
    node: Floats
    nodes: Integers
    inside: Flags


@kernel
def _spheres_of_rows(first, last, given):
    """Spheres of the rows of blocks from first to last, and which of their texels are on the
    surface; see `block_spheres`."""
    kind, size, place, form, block, spheres, inside = uncounted(given)
    for r in range(first, last):
        for c in range(spheres.shape[1]):
            top, left = r * block, c * block
            bottom, right = min(top + block, size[0]) - 1, min(left + block, size[1]) - 1
            _, x, y, z, _, _, _ = point(
                kind,
                form,
                place[0] + 0.5 * (left + right) * place[1],
                place[2] + 0.5 * (top + bottom) * place[3],
            )
            farthest = -1.0
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    on, px, py, pz, _, _, _ = point(
                        kind, form, place[0] + column * place[1], place[2] + row * place[3]
                    )
                    inside[row, column] = on
                    if on:
                        away = (px - x) ** 2 + (py - y) ** 2 + (pz - z) ** 2
                        farthest = max(farthest, away)
            spheres[r, c, 0], spheres[r, c, 1], spheres[r, c, 2] = x, y, z
            spheres[r, c, 3] = math.sqrt(farthest) if farthest >= 0.0 else -1.0


def block_spheres(chart: Chart, block: int) -> tuple[Floats, Flags]:
    """A sphere about each block of texels: (rows, columns, 4) float, centre and radius, m; and
    which texels are on the surface: (h, w) bool.

    A radius below zero marks a block with no texel on the surface.
    """
    rows, columns = -(-chart.size // block)
    spheres, inside = np.zeros((rows, columns, 4)), np.zeros(chart.size, np.bool_)
    place = np.ascontiguousarray(chart.place)
    given = (chart.kind, chart.size, place, chart.form, block, spheres, inside)
    share_out(rows, _spheres_of_rows, given)
    return spheres, inside


def texel_tree(chart: Chart) -> TexelTree:
    """The blocks of a chart; worth keeping, as they cost a look at every texel."""
    leaf, inside = block_spheres(chart, LEAF)
    node, _ = block_spheres(chart, LEAF * NODE)
    padded = np.full((NODE * node.shape[0], NODE * node.shape[1], 4), -1.0)
    padded[: leaf.shape[0], : leaf.shape[1]] = leaf
    number = node.shape[0] * node.shape[1]
    dealt = np.concatenate([np.arange(first, number, STRIDE) for first in range(STRIDE)])
    return TexelTree(padded, node, dealt, inside)
