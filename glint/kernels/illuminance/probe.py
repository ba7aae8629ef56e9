"""Illuminance of beams at chosen points of the room: no chart, no texels, no averaging."""

from __future__ import annotations

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers, Lamps
from glint.kernels.geometry.bounding_cone import may_meet
from glint.kernels.illuminance.penumbra import LUX, MANY, illuminate, workplace
from glint.kernels.illuminance.window_quads import window_quads
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted

GRID = 3
"""Samples from the middle of a spot to its edge, where its peak is sought; (2 GRID + 1)**2 of them
are MANY at most."""


@kernel
def _light(beams, lamps, quads, quad, points, new_trace_scratch, lux):
    """Add one quad's light at points, (7, p) float, MANY at most; see `illuminate`.

    lux: (p,) float
    """
    work, chosen = new_trace_scratch
    cone, number = quads.cones[:, quad], np.int64(0)
    for p in range(points.shape[1]):
        if may_meet(cone, points[0, p], points[1, p], points[2, p], 0.0):
            chosen[number] = p
            number += 1
    if number > 0:
        b = quads.beam[quad]
        apex, frame, corners = beams.apex[b], beams.frame[b], quads.corners[quad]
        lamp, share = beams.lamp[b], beams.share[b]
        illuminate(work, points, chosen, number, apex, frame, corners, lamps, lamp, share)
        for n in range(number):
            lux[chosen[n]] += work[LUX, n]


@kernel
def _lux_at(begin, end, given):
    beams, lamps, quads, places, lux = uncounted(given)
    for block in range(begin, end):
        first, last = block * MANY, min((block + 1) * MANY, places.shape[0])
        points, middle = np.zeros((7, last - first)), np.zeros(3)
        for p in range(last - first):
            for k in range(3):
                points[k, p], points[4 + k, p] = places[first + p, k], places[first + p, 3 + k]
                middle[k] += points[k, p] / (last - first)
        reach = 0.0
        for p in range(last - first):
            away = 0.0
            for k in range(3):
                away += (points[k, p] - middle[k]) ** 2
            reach = max(reach, away)
        reach = np.sqrt(reach)
        new_trace_scratch = (workplace(), np.empty(MANY, np.int64))
        for quad in range(quads.beam.shape[0]):
            if may_meet(quads.cones[:, quad], middle[0], middle[1], middle[2], reach):
                _light(beams, lamps, quads, quad, points, new_trace_scratch, lux[first:last])


def lux_at(beams: Beams, lamps: Lamps, places: Floats) -> Floats:
    """Illuminance that all beams together give at points, lx: (p,) float.

    places: (p, 6) float, point (m) and unit normal towards the room; neighbours in the list should
    be neighbours in the room, which spares work. Does not depend on the number of threads.
    """
    lux = np.zeros(len(places))
    given = (beams, lamps, window_quads(beams, lamps), np.ascontiguousarray(places, float), lux)
    blocks = (len(places) + MANY - 1) // MANY
    share_out(blocks, _lux_at, given)
    return lux


@kernel
def _peaks(begin, end, given):
    beams, lamps, quads, start, middle, axes, peak = uncounted(given)
    for spot in range(begin, end):
        number = (2 * GRID + 1) ** 2
        points, lux = np.zeros((7, number)), np.zeros(number)
        at = 0
        for i in range(-GRID, GRID + 1):
            for j in range(-GRID, GRID + 1):
                for k in range(3):
                    aside = (i * axes[spot, 0, k] + j * axes[spot, 1, k]) / GRID
                    points[k, at] = middle[spot, k] + aside
                    points[4 + k, at] = middle[spot, 3 + k]
                at += 1
        new_trace_scratch = (workplace(), np.empty(MANY, np.int64))
        for quad in range(start[spot], start[spot + 1]):
            _light(beams, lamps, quads, quad, points, new_trace_scratch, lux)
        peak[spot] = lux.max()


def peaks(beams: Beams, lamps: Lamps, start: Integers, middle: Floats, axes: Floats) -> Floats:
    """The highest illuminance of each spot on a flat surface, lx: (s,) float.

    beams: sorted by spot; spot i is made of beams start[i] to start[i + 1]. middle: (s, 6) float,
    where its middle lands (m) and the normal there; axes: (s, 2, 3) float, m, along the surface
    from the middle to about its edge. Looked for on a grid between the ends of the axes.
    """
    peak = np.zeros(len(start) - 1)
    quads = window_quads(beams, lamps)
    # Beams are sorted by spot, and quads by beam.
    first = np.searchsorted(quads.beam, start).astype(np.int64)
    given = (beams, lamps, quads, first, np.ascontiguousarray(middle), axes, peak)
    share_out(len(peak), _peaks, given)
    return peak
