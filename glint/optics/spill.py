"""The part of the lamps' light that no ball takes: straight to the room, with shadows in it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import prange

from glint.optics.arrays import Floats, Integers, Lamps
from glint.optics.chart import LEAF, Chart, block_spheres, point
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone, may_meet
from glint.optics.disc import edge_in_disc
from glint.optics.illuminance import from_lens_part


class Outlines(NamedTuple):
    """What the balls cover, seen from each lamp's lens centre: flat cut-outs in the room.

    edges: (e, 2, 3) float, m; around what is covered in one sense, around holes in the other
    start: (o + 1,) int, the edges of each cut-out
    lamp: (o,) int
    """

    edges: Floats
    start: Integers
    lamp: Integers


@kernel
def covered(edges, px, py, pz, radius):
    """Share of a lens that a cut-out covers, seen from a point, and the covered part's centroid.

    edges: (e, 2, 3) float and the point are in the lens frame. Every edge is projected from the
    point onto the lens plane; the shares of the edges add up, whatever the outline's form.
    """
    total = mx = my = 0.0
    for e in range(edges.shape[0]):
        if pz <= edges[e, 0, 2] * (1.0 + 1e-9) or pz <= edges[e, 1, 2] * (1.0 + 1e-9):
            return 0.0, 0.0, 0.0
        first = 1.0 / (pz - edges[e, 0, 2])
        second = 1.0 / (pz - edges[e, 1, 2])
        part, x, y = edge_in_disc(
            (edges[e, 0, 0] * pz - px * edges[e, 0, 2]) * first,
            (edges[e, 0, 1] * pz - py * edges[e, 0, 2]) * first,
            (edges[e, 1, 0] * pz - px * edges[e, 1, 2]) * second,
            (edges[e, 1, 1] * pz - py * edges[e, 1, 2]) * second,
            radius,
        )
        total += part
        mx += x
        my += y
    whole = math.pi * radius * radius
    share = abs(total) / whole
    if share <= 1e-12:
        return 0.0, 0.0, 0.0
    return min(share, 1.0), mx / total, my / total


@kernel
def _prepare(outlines, lamps):
    edges = np.zeros(outlines.edges.shape)
    cones = np.zeros((outlines.lamp.shape[0], 8))
    for o in range(outlines.lamp.shape[0]):
        lamp = outlines.lamp[o]
        begin, end = outlines.start[o], outlines.start[o + 1]
        for e in range(begin, end):
            for side in range(2):
                for k in range(3):
                    along = 0.0
                    for m in range(3):
                        along += lamps.frame[lamp, k, m] * (
                            outlines.edges[e, side, m] - lamps.position[lamp, m]
                        )
                    edges[e, side, k] = along
        corners = outlines.edges[begin:end, 0]
        bounding_cone(lamps.position[lamp], lamps.lens_radius[lamp], corners, end - begin, cones[o])
    return edges, cones


@kernel
def _lamp_cones(lamps):
    """A cone about everything that each lamp shines on."""
    cones = np.zeros((lamps.lumens.shape[0], 8))
    for lamp in range(cones.shape[0]):
        sine_half = lamps.sine_end[lamp]
        sine = 2.0 * sine_half * math.sqrt(max(1.0 - sine_half * sine_half, 0.0))
        if sine_half >= 0.7:
            cones[lamp, 6] = 2.0
            continue
        cosine = math.sqrt(1.0 - sine * sine)
        for k in range(3):
            axis = lamps.frame[lamp, 2, k]
            back = lamps.lens_radius[lamp] * cosine / sine
            cones[lamp, k] = lamps.position[lamp, k] - back * axis
            cones[lamp, 3 + k] = axis
        cones[lamp, 6], cones[lamp, 7] = sine, cosine
    return cones


@kernel(parallel=True)
def _spill(lamps, beams, edges, cones, start, owner, kind, size, place, form, leaf, lux):
    """Each row of blocks belongs to one worker, so the sums do not depend on their number."""
    for r in prange(leaf.shape[0]):
        for c in range(leaf.shape[1]):
            for lamp in range(lamps.lumens.shape[0]):
                s = leaf[r, c]
                if not may_meet(beams[lamp], s[0], s[1], s[2], s[3]):
                    continue
                frame, lens = lamps.frame[lamp], lamps.position[lamp]
                for row in range(r * LEAF, min((r + 1) * LEAF, size[0])):
                    for column in range(c * LEAF, min((c + 1) * LEAF, size[1])):
                        on, x, y, z, nx, ny, nz = point(
                            kind, form, place[0] + column * place[1], place[2] + row * place[3]
                        )
                        if not on:
                            continue
                        dx, dy, dz = x - lens[0], y - lens[1], z - lens[2]
                        px = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
                        py = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
                        pz = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
                        if pz <= 0.0:
                            continue
                        seen, sx, sy = 1.0, 0.0, 0.0
                        for o in range(owner.shape[0]):
                            if owner[o] != lamp or not may_meet(cones[o], x, y, z, 0.0):
                                continue
                            share, hx, hy = covered(
                                edges[start[o] : start[o + 1]],
                                px,
                                py,
                                pz,
                                lamps.lens_radius[lamp],
                            )
                            # First moments of the parts of the lens still seen.
                            sx, sy = sx - share * hx, sy - share * hy
                            seen -= share
                        if seen <= 1e-9:
                            continue
                        value = from_lens_part(
                            lamps, lamp, frame, px, py, pz, nx, ny, nz, seen, sx / seen, sy / seen
                        )
                        for k in range(3):
                            lux[row, column, k] += value * lamps.colour[lamp, k]


def add_spill(lamps: Lamps, outlines: Outlines, chart: Chart, lux: np.ndarray) -> None:
    """Add the lamps' direct light, less the balls' shadows, to a map.

    The cut-outs must not overlap as seen from their lamp. Penumbrae are those of a flat cut-out
    at the ball's centre. lux: (h, w, 3) float32, linear RGB, lx; changed in place.
    """
    edges, cones = _prepare(outlines, lamps)
    place = np.ascontiguousarray(chart.place)
    _spill(
        lamps,
        _lamp_cones(lamps),
        edges,
        cones,
        outlines.start,
        outlines.lamp,
        chart.kind,
        chart.size,
        place,
        chart.form,
        block_spheres(chart.kind, chart.size, place, chart.form, LEAF),
        lux,
    )
