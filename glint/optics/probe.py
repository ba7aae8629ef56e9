"""Illuminance of beams at chosen points of the room: no chart, no texels, no averaging."""

from __future__ import annotations

import numpy as np
from numba import prange

from glint.optics.arrays import MOST_CORNERS, Beams, Floats, Integers, Lamps
from glint.optics.compile import kernel
from glint.optics.cone import may_meet
from glint.optics.lightmap import beam_at, prepare

BLOCK = 64
"""Neighbouring points that are lit or skipped as a whole."""

GRID = 3
"""Samples from the middle of a spot to its edge, where its peak is sought."""


@kernel(parallel=True)
def _lux_at(beams, lamps, cones, corners, places, lux):
    blocks = (places.shape[0] + BLOCK - 1) // BLOCK
    for block in prange(blocks):
        first, last = block * BLOCK, min((block + 1) * BLOCK, places.shape[0])
        middle = np.zeros(3)
        for p in range(first, last):
            middle += places[p, :3] / (last - first)
        reach = 0.0
        for p in range(first, last):
            reach = max(reach, np.sum((places[p, :3] - middle) ** 2))
        reach = np.sqrt(reach)
        xs, ys = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS)
        for b in range(beams.lamp.shape[0]):
            if not may_meet(cones[b], middle[0], middle[1], middle[2], reach):
                continue
            for p in range(first, last):
                if may_meet(cones[b], places[p, 0], places[p, 1], places[p, 2], 0.0):
                    lux[p] += beam_at(beams, lamps, corners, b, places[p], xs, ys)


def lux_at(beams: Beams, lamps: Lamps, places: Floats) -> Floats:
    """Illuminance that all beams together give at points, lx: (p,) float.

    places: (p, 6) float, point (m) and unit normal towards the room; neighbours in the list should
    be neighbours in the room, which spares work. Does not depend on the number of threads.
    """
    lux = np.zeros(len(places))
    cones, corners, _ = prepare(beams, lamps)
    _lux_at(beams, lamps, cones, corners, np.ascontiguousarray(places, float), lux)
    return lux


@kernel(parallel=True)
def _peaks(beams, lamps, corners, start, middle, axes, peak):
    for spot in prange(start.shape[0] - 1):
        xs, ys, where = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS), np.empty(6)
        where[3:] = middle[spot, 3:]
        for i in range(-GRID, GRID + 1):
            for j in range(-GRID, GRID + 1):
                for k in range(3):
                    aside = (i * axes[spot, 0, k] + j * axes[spot, 1, k]) / GRID
                    where[k] = middle[spot, k] + aside
                value = 0.0
                for b in range(start[spot], start[spot + 1]):
                    value += beam_at(beams, lamps, corners, b, where, xs, ys)
                peak[spot] = max(peak[spot], value)


def peaks(beams: Beams, lamps: Lamps, start: Integers, middle: Floats, axes: Floats) -> Floats:
    """The highest illuminance of each spot on a flat surface, lx: (s,) float.

    beams: sorted by spot; spot i is made of beams start[i] to start[i + 1]. middle: (s, 6) float,
    where its middle lands (m) and the normal there; axes: (s, 2, 3) float, m, along the surface
    from the middle to about its edge. Looked for on a grid between the ends of the axes.
    """
    peak = np.zeros(len(start) - 1)
    _, corners, _ = prepare(beams, lamps)
    _peaks(beams, lamps, corners, start, np.ascontiguousarray(middle), axes, peak)
    return peak
