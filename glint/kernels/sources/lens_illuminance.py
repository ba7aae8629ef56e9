"""Illuminance at one point from the part of a lens that it sees."""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel
from glint.kernels.sources.luminous_intensity import candela


@kernel
def from_lens_part(table, spread, planes, sine_end, radius, px, py, pz, nx, ny, nz, part, sx, sy):
    """Illuminance, lx, from a part of a lens at a point with a normal, all in the lens frame.

    table, spread, planes, sine_end, radius: the lamp's own rows of Lamps (see there).
    (sx, sy): the part's centroid, m. I cos / d**2 taken towards the centroid is right to first
    order; the candela's second-order mean over the part (treated as a disc of the same area) comes
    from the lamp's `spread` table.
    """
    lx, ly = px - sx, py - sy
    square = lx * lx + ly * ly + pz * pz
    distance = math.sqrt(square)
    incidence = -(nx * lx + ny * ly + nz * pz)
    if incidence <= 0.0:
        return 0.0
    disc = part * radius * radius / square
    intensity = candela(table, spread, planes, sine_end, lx, ly, pz, distance, disc)
    return part * intensity * incidence / (square * distance)
