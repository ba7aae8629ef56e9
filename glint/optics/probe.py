"""Illuminance of beams at chosen points of the room: no chart, no texels, no averaging."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Beams, Floats, Integers, Lamps
from glint.optics.borrow import borrowed
from glint.optics.compile import kernel
from glint.optics.cone import may_meet
from glint.optics.lightmap import beyond, place_point
from glint.optics.pane import panes_of
from glint.optics.penumbra import LUX, MANY, illuminate, workplace
from glint.optics.threads import share_out

GRID = 3
"""Samples from the middle of a spot to its edge, where its peak is sought; (2 GRID + 1)**2 of them
are MANY at most."""


@kernel
def _light(beams, lamps, panes, pane, places, first, last, work, chosen, lux):
    """Add one pane's light at places first to last, MANY at most."""
    b = panes.beam[pane]
    cone = panes.cones[:, pane]
    apex, frame, least = beams.apex[b], beams.frame[b], beyond(panes.corners[pane])
    number = np.int64(0)
    for p in range(first, last):
        x, y, z = places[p, 0], places[p, 1], places[p, 2]
        if not may_meet(cone, x, y, z, 0.0):
            continue
        place_point(work, number, apex, frame, x, y, z, places[p, 3], places[p, 4], places[p, 5])
        if work[2, number] > least:
            chosen[number] = p
            number += 1
    if number > 0:
        illuminate(work, number, panes.corners[pane], lamps, beams.lamp[b], beams.share[b])
        for n in range(number):
            lux[chosen[n]] += work[LUX, n]


@kernel
def _lux_at(begin, end, given):
    beams, lamps, panes, places, lux = borrowed(given)
    for block in range(begin, end):
        first, last = block * MANY, min((block + 1) * MANY, places.shape[0])
        middle = np.zeros(3)
        for p in range(first, last):
            middle += places[p, :3] / (last - first)
        reach = 0.0
        for p in range(first, last):
            reach = max(reach, np.sum((places[p, :3] - middle) ** 2))
        reach = np.sqrt(reach)
        work, chosen = workplace(), np.empty(MANY, np.int64)
        for pane in range(panes.beam.shape[0]):
            if may_meet(panes.cones[:, pane], middle[0], middle[1], middle[2], reach):
                _light(beams, lamps, panes, pane, places, first, last, work, chosen, lux)


def lux_at(beams: Beams, lamps: Lamps, places: Floats) -> Floats:
    """Illuminance that all beams together give at points, lx: (p,) float.

    places: (p, 6) float, point (m) and unit normal towards the room; neighbours in the list should
    be neighbours in the room, which spares work. Does not depend on the number of threads.
    """
    lux = np.zeros(len(places))
    given = (beams, lamps, panes_of(beams, lamps), np.ascontiguousarray(places, float), lux)
    blocks = (len(places) + MANY - 1) // MANY
    share_out(blocks, _lux_at, given)
    return lux


@kernel
def _peaks(begin, end, given):
    beams, lamps, panes, start, middle, axes, peak = borrowed(given)
    for spot in range(begin, end):
        number = (2 * GRID + 1) ** 2
        places, lux = np.empty((number, 6)), np.zeros(number)
        at = 0
        for i in range(-GRID, GRID + 1):
            for j in range(-GRID, GRID + 1):
                for k in range(3):
                    aside = (i * axes[spot, 0, k] + j * axes[spot, 1, k]) / GRID
                    places[at, k] = middle[spot, k] + aside
                    places[at, 3 + k] = middle[spot, 3 + k]
                at += 1
        work, chosen = workplace(), np.empty(MANY, np.int64)
        for pane in range(start[spot], start[spot + 1]):
            _light(beams, lamps, panes, pane, places, 0, number, work, chosen, lux)
        peak[spot] = lux.max()


def peaks(beams: Beams, lamps: Lamps, start: Integers, middle: Floats, axes: Floats) -> Floats:
    """The highest illuminance of each spot on a flat surface, lx: (s,) float.

    beams: sorted by spot; spot i is made of beams start[i] to start[i + 1]. middle: (s, 6) float,
    where its middle lands (m) and the normal there; axes: (s, 2, 3) float, m, along the surface
    from the middle to about its edge. Looked for on a grid between the ends of the axes.
    """
    peak = np.zeros(len(start) - 1)
    panes = panes_of(beams, lamps)
    # Beams are sorted by spot, and panes by beam.
    first = np.searchsorted(panes.beam, start).astype(np.int64)
    given = (beams, lamps, panes, first, np.ascontiguousarray(middle), axes, peak)
    share_out(len(peak), _peaks, given)
    return peak
