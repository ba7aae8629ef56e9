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
    chart, fine_size, fine_place, maps, turns, weights, lux = borrowed(given)
    kind, form, size, place = chart
    cosine, sine, angle = turns
    rows, columns = fine_size[0], fine_size[1]
    for row in range(first, last):
        up = place[2] + row * place[3]
        for column in range(size[1]):
            across = place[0] + column * place[1]
            if kind != CYLINDER and across * across + up * up > form[4] * form[4]:
                continue
            red = green = blue = 0.0
            for t in range(weights.shape[0]):
                if kind == CYLINDER:
                    u, v = across - angle[t], up
                else:
                    u, v = cosine[t] * across + sine[t] * up, cosine[t] * up - sine[t] * across
                x = (u - fine_place[0]) / fine_place[1]
                y = min(max((v - fine_place[2]) / fine_place[3], 0.0), rows - 1.0)
                if kind == CYLINDER:
                    x -= columns * math.floor(x / columns)
                else:
                    x = min(max(x, 0.0), columns - 1.0)
                i, j = int(y), int(x)
                below, right = min(i + 1, rows - 1), j + 1
                if right == columns:
                    right = 0 if kind == CYLINDER else j
                s, r = y - i, x - j
                a, b, c, d = (1.0 - s) * (1.0 - r), (1.0 - s) * r, s * (1.0 - r), s * r
                for m in range(weights.shape[1]):
                    w = weights[t, m]
                    e, f, g, h = w * a, w * b, w * c, w * d
                    red += (
                        e * maps[m, i, j, 0]
                        + f * maps[m, i, right, 0]
                        + g * maps[m, below, j, 0]
                        + h * maps[m, below, right, 0]
                    )
                    green += (
                        e * maps[m, i, j, 1]
                        + f * maps[m, i, right, 1]
                        + g * maps[m, below, j, 1]
                        + h * maps[m, below, right, 1]
                    )
                    blue += (
                        e * maps[m, i, j, 2]
                        + f * maps[m, i, right, 2]
                        + g * maps[m, below, j, 2]
                        + h * maps[m, below, right, 2]
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
    given = (form, fine.size, fine_place, maps, turns, weights, lux)
    share_out(chart.size[0], _add_rows, given)
