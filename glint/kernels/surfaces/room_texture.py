"""The room's light maps side by side, and the light at any place of any surface."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats, Integers
from glint.kernels.runtime.jit import kernel
from glint.kernels.surfaces.equal_area import LEAF
from glint.kernels.surfaces.kinds import RECTANGLE, REVOLUTION


class RoomLight(NamedTuple):
    """Every surface's illuminance and paint, one map after the other.

    kinds: (s,) int. forms: (s, 11), places: (s, 4) float and sizes: (s, 2) int, as in Chart
    start: (s,) int, each map's first texel
    lux: (t, 3) float32, lx, of all light
    ambient: (3,) float, lx, what falls on things in the middle of the room beside the lamps' light
    paint: (t, 3) float32, diffuse reflectance over pi
    """

    kinds: Integers
    forms: Floats
    places: Floats
    sizes: Integers
    start: Integers
    lux: np.ndarray
    ambient: Floats
    paint: np.ndarray


@kernel
def texel_place(room, s, across, up):
    """Column and row of a chart position, drawn in so that its four neighbours lie on the
    surface."""
    kind, places = room.kinds[s], room.places
    closes = kind == REVOLUTION and room.forms[s, 6] == room.forms[s, 3]
    if kind != RECTANGLE and not closes:
        margin = 1.5 * abs(places[s, 1])
        limit = room.forms[s, 4] - margin
        away = math.sqrt(across * across + up * up)
        if away > limit:
            across, up = across * limit / away, up * limit / away
        elif kind == REVOLUTION and room.forms[s, 6] > 0.0 and away < room.forms[s, 6] + margin:
            limit = (room.forms[s, 6] + margin) / max(away, 1e-12)
            across, up = across * limit, up * limit
    column = (across - places[s, 0]) / places[s, 1]
    row = (up - places[s, 2]) / places[s, 3]
    columns, rows = room.sizes[s, 1], room.sizes[s, 0]
    row = min(max(row, 0.0), rows - 1.0)
    if closes:
        column = column % columns
        return (column if column < columns else 0.0), row
    return min(max(column, 0.0), columns - 1.0), row


@kernel
def neighbours(room, s, column, row):
    """The four texels about a place and their shares: (a, b, c, d, right, down)."""
    columns, rows = room.sizes[s, 1], room.sizes[s, 0]
    left, top = int(column), int(row)
    right, bottom = left + 1, min(top + 1, rows - 1)
    if right == columns:
        closes = room.kinds[s] == REVOLUTION and room.forms[s, 6] == room.forms[s, 3]
        right = 0 if closes else left
    first = room.start[s]
    a, c = first + top * columns, first + bottom * columns
    return a + left, a + right, c + left, c + right, column - left, row - top


@kernel
def luminance_at(room, s, across, up):
    """Luminance of a surface at a chart position, cd/m**2: linear RGB."""
    column, row = texel_place(room, s, across, up)
    a, b, c, d, x, y = neighbours(room, s, column, row)
    wa, wb, wc, wd = (1.0 - x) * (1.0 - y), x * (1.0 - y), (1.0 - x) * y, x * y
    lux, paint = room.lux, room.paint
    return (
        (wa * lux[a, 0] + wb * lux[b, 0] + wc * lux[c, 0] + wd * lux[d, 0])
        * (wa * paint[a, 0] + wb * paint[b, 0] + wc * paint[c, 0] + wd * paint[d, 0]),
        (wa * lux[a, 1] + wb * lux[b, 1] + wc * lux[c, 1] + wd * lux[d, 1])
        * (wa * paint[a, 1] + wb * paint[b, 1] + wc * paint[c, 1] + wd * paint[d, 1]),
        (wa * lux[a, 2] + wb * lux[b, 2] + wc * lux[c, 2] + wd * lux[d, 2])
        * (wa * paint[a, 2] + wb * paint[b, 2] + wc * paint[c, 2] + wd * paint[d, 2]),
    )


@kernel
def texel_places(room, surfaces, charts):
    """Columns and rows (n,) of many chart positions (n, 2) on surfaces (n,)."""
    columns, rows = np.empty(surfaces.shape[0]), np.empty(surfaces.shape[0])
    for i in range(surfaces.shape[0]):
        columns[i], rows[i] = texel_place(room, surfaces[i], charts[i, 0], charts[i, 1])
    return columns, rows


@kernel
def renew(direct, glow, changed, lux):
    """Set the leaves of one map that changed to direct and other light together.

    direct: (h, w, 3) float32. glow, lux: (h * w, 3) float32, lx. changed: (R, C) bool, leaves.
    """
    height, width = direct.shape[0], direct.shape[1]
    for r in range(changed.shape[0]):
        for c in range(changed.shape[1]):
            if not changed[r, c]:
                continue
            for row in range(r * LEAF, min((r + 1) * LEAF, height)):
                for column in range(c * LEAF, min((c + 1) * LEAF, width)):
                    t = row * width + column
                    for k in range(3):
                        lux[t, k] = direct[row, column, k] + glow[t, k]
