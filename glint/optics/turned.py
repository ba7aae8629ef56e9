"""A light map that turns with its ball: read off a finer map of the ball at angle 0."""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import Floats
from glint.optics.borrow import borrowed
from glint.optics.chart import CYLINDER, Chart
from glint.optics.compile import kernel
from glint.optics.threads import share_out


@kernel
def _add_rows(first, last, given):
    """Add to the rows of texels from first to last.

    maps: (m, 3 H W) float32. Along a row a place in them goes on by equal steps.
    """
    chart, fine_size, fine_place, maps, turns, weights, lux = borrowed(given)
    kind, form, size, place = chart
    cosine, sine, angle = turns
    rows, columns = fine_size[0], fine_size[1]
    wide, high = 1.0 / fine_place[1], 1.0 / fine_place[3]
    start, step = np.empty((angle.size, 2)), np.empty((angle.size, 2))
    for row in range(first, last):
        up = place[2] + row * place[3]
        for t in range(angle.size):
            # The first texel of the row turned, and the way from one to the next.
            c, s = (1.0, 0.0) if kind == CYLINDER else (cosine[t], sine[t])
            u, v = c * place[0] + s * up, c * up - s * place[0]
            if kind == CYLINDER:
                u -= angle[t]
            start[t, 0], step[t, 0] = (u - fine_place[0]) * wide, c * place[1] * wide
            start[t, 1], step[t, 1] = (v - fine_place[2]) * high, -s * place[1] * high
        for column in range(size[1]):
            across = place[0] + column * place[1]
            if kind != CYLINDER and across * across + up * up > form[4] * form[4]:
                continue
            red = green = blue = np.float32(0.0)
            for t in range(angle.size):
                x = start[t, 0] + column * step[t, 0]
                y = min(max(start[t, 1] + column * step[t, 1], 0.0), rows - 1.0)
                if kind == CYLINDER:
                    x -= columns * math.floor(x / columns)
                else:
                    x = min(max(x, 0.0), columns - 1.0)
                i, j = int(y), int(x)
                below, right = min(i + 1, rows - 1), j + 1
                if right == columns:
                    right = 0 if kind == CYLINDER else j
                s, r = y - i, x - j
                here, beside = 3 * (i * columns + j), 3 * (i * columns + right)
                under, aslant = 3 * (below * columns + j), 3 * (below * columns + right)
                for m in range(weights.shape[1]):
                    w = weights[t, m]
                    e, f = np.float32(w * (1.0 - s) * (1.0 - r)), np.float32(w * (1.0 - s) * r)
                    g, h = np.float32(w * s * (1.0 - r)), np.float32(w * s * r)
                    red += (
                        e * maps[m, here]
                        + f * maps[m, beside]
                        + g * maps[m, under]
                        + h * maps[m, aslant]
                    )
                    green += (
                        e * maps[m, here + 1]
                        + f * maps[m, beside + 1]
                        + g * maps[m, under + 1]
                        + h * maps[m, aslant + 1]
                    )
                    blue += (
                        e * maps[m, here + 2]
                        + f * maps[m, beside + 2]
                        + g * maps[m, under + 2]
                        + h * maps[m, aslant + 2]
                    )
            lux[row, column, 0] += red
            lux[row, column, 1] += green
            lux[row, column, 2] += blue


def add_turned(
    maps: np.ndarray, fine: Chart, angles: Floats, weights: Floats, chart: Chart, lux: np.ndarray
) -> None:
    """Add maps, turned about the axis of their surface, to a coarser map of it.

    maps: (m, H, W, 3) float32, lx, on the chart `fine`; angles: (t,) float, rad, and weights:
    (t, m) float: what is added is the sum over all turns and maps. The surface must be one of
    revolution about the upright line through its centre. lux: (h, w, 3) float32, changed in place.
    """
    angles = np.asarray(angles, float)
    form = (chart.kind, chart.form, chart.size, np.ascontiguousarray(chart.place))
    turns = (np.cos(angles), np.sin(angles), angles)
    weights, fine_place = np.ascontiguousarray(weights, float), np.ascontiguousarray(fine.place)
    flat = maps.reshape(len(maps), -1)
    given = (form, fine.size, fine_place, flat, turns, weights, lux)
    share_out(chart.size[0], _add_rows, given)
