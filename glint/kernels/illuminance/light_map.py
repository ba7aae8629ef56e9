"""Beams onto a chart: illuminance at every texel."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Beams, Flags, Lamps
from glint.kernels.geometry.bounding_cone import meets
from glint.kernels.illuminance.light_node import RIM, light_node, new_scratch
from glint.kernels.illuminance.window_quads import window_quads
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import scratch_of, share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import LEAF, Chart
from glint.kernels.surfaces.texel_tree import NODE, TexelTree, texel_tree


@kernel
def _near(cones, sphere, more, hit, found):
    """Which cones may meet a sphere, larger by `more`: written to found, in order; their number."""
    x, y, z, radius = sphere[0], sphere[1], sphere[2], sphere[3] + more
    for b in range(cones.shape[1]):
        hit[b] = meets(
            cones[0, b],
            cones[1, b],
            cones[2, b],
            cones[3, b],
            cones[4, b],
            cones[5, b],
            cones[6, b],
            cones[7, b],
            x,
            y,
            z,
            radius,
        )
    met = 0
    for b in range(cones.shape[1]):
        if hit[b]:
            found[met] = b
            met += 1
    return met


@kernel
def _restore(still, before, touched, lux, r0, c0):
    """Set leaves of a node that were lit before, and are not touched yet, to what they are in
    another map."""
    for r in range(r0, r0 + NODE):
        for c in range(c0, c0 + NODE):
            if before[r, c] and not touched[r, c]:
                start = np.uint64(3 * c * LEAF)
                number = min(3 * LEAF, lux.shape[1] - 3 * c * LEAF)
                for row in range(r * LEAF, min((r + 1) * LEAF, lux.shape[0])):
                    for k in range(number):
                        column = start + np.uint64(k)
                        lux[np.uint64(row), column] = still[np.uint64(row), column]


@kernel
def _light_nodes(first, last, given, scratch):
    """Light the nodes from first to last in order. Texels take the quads in order, so the sums are
    the same to the last bit on any number of threads.

    lux: (h, 3 w) float32, lx; touched: (R, C) bool; still, before: of the same forms, see
    `add_beams`; scratch: of `new_scratch`
    """
    beams, lamps, quads, chart, blocks, lux, touched, still, before = uncounted(given)
    scratch = uncounted(scratch)
    hit, near = np.empty(quads.beam.size, np.bool_), np.empty(quads.beam.size, np.int64)
    for job in range(first, last):
        place = blocks.nodes[job]
        r0, c0 = place // blocks.node.shape[1], place % blocks.node.shape[1]
        number = _near(quads.cones, blocks.node[r0, c0], RIM * chart[3], hit, near)
        r0, c0 = NODE * r0, NODE * c0
        _restore(still, before, touched, lux, r0, c0)
        if number == 0:
            continue
        for leaf in range(NODE * NODE):
            for k in range(4):
                scratch.spheres[k, leaf] = blocks.leaf[r0 + leaf // NODE, c0 + leaf % NODE, k]
        light_node(
            beams, lamps, quads, near, number, chart, r0, c0, scratch, blocks.inside, lux, touched
        )


def add_beams(
    beams: Beams,
    lamps: Lamps,
    chart: Chart,
    lux: np.ndarray,
    blocks: TexelTree | None = None,
    touched: Flags | None = None,
    still: np.ndarray | None = None,
    before: Flags | None = None,
) -> None:
    """Add the illuminance of every beam to a map: means over texels.

    lux: (h, w, 3) float32, linear RGB, lx, of the chart's size; changed in place.
    blocks: of the chart, if kept from before.
    touched: (R, C) bool, a leaf each; those that light reaches are set, the others left.
    still, before: a map and leaves, as lux and touched: these leaves, if not touched already, are
    first set to what they are in that map.
    """
    blocks = texel_tree(chart) if blocks is None else blocks
    if touched is None:
        touched = np.zeros(blocks.leaf.shape[:2], np.bool_)
    texel = math.sqrt(chart.texel_area)
    form = (chart.kind, np.ascontiguousarray(chart.place), chart.form, texel)
    rows = lux.reshape(len(lux), -1)
    kept = rows if still is None else still.reshape(len(lux), -1)
    if before is None:
        before = np.zeros_like(touched)
    given = (beams, lamps, window_quads(beams, lamps), form, blocks, rows, touched, kept, before)
    share_out(len(blocks.nodes), _light_nodes, given, scratch=lambda: scratch_of(new_scratch))
