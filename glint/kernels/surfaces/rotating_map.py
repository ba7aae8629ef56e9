"""A light map that turns with its ball: read off a finer map of the ball at angle 0."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.runtime.jit import contracted, kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import Chart

SHORT = 1e-6
"""Texels."""


@contracted
def _add_line(texels, columns, weight, start, step, rise, climb, line):
    """Add what a row of texels sees of a map, each lying between four of the map's.

    texels: (3 H W,) float32, the map, `columns` wide; start, step: along a row of it, in texels,
    of the first place and from one to the next; rise, climb: the same across the rows. line: (3 n,)
    float32, of n texels, added to.
    """
    below, whole = np.uint64(3 * columns), np.uint64(texels.size)
    # Short of the last column and row, so that there is another one beyond.
    right, bottom = columns - 1.0 - SHORT, float(whole // below) - 1.0 - SHORT
    for n in range(line.size // 3):
        x, y = start + n * step, rise + n * climb
        x, y = (x if x > 0.0 else 0.0), (y if y > 0.0 else 0.0)
        x, y = (x if x < right else right), (y if y < bottom else bottom)
        j, i = np.uint32(x), np.uint32(y)
        r, s = np.float32(x - j), np.float32(y - i)
        here = np.uint64(i) * below + np.uint64(3) * np.uint64(j)
        under, low = here + below, weight * s
        high = weight - low
        beside, aslant = high * r, low * r
        straight, down = high - beside, low - aslant
        for k in range(3):
            at, after = np.uint64(k), np.uint64(k + 3)
            line[3 * n + k] += (
                straight * texels[here + at]
                + beside * texels[here + after]
                + down * texels[under + at]
                + aslant * texels[under + after]
            )


@kernel
def _add_rows(first, last, given):
    """Add to the rows of texels from first to last, of a surface that ends at a rim.

    maps: (m, 3 H W) float32. Along a row a place in them goes on by equal steps.
    """
    chart, fine_size, fine_place, maps, turns, weights, lux = uncounted(given)
    _, form, size, place = chart
    cosine, sine, angle = turns
    wide, high = 1.0 / fine_place[1], 1.0 / fine_place[3]
    for row in range(first, last):
        up = place[2] + row * place[3]
        left, right = 0, size[1]
        while left < right and (place[0] + left * place[1]) ** 2 + up * up > form[4] * form[4]:
            left += 1
        while left < right and (
            (place[0] + (right - 1) * place[1]) ** 2 + up * up > form[4] * form[4]
        ):
            right -= 1
        across = place[0] + left * place[1]
        for t in range(angle.size):
            # The first texel of the row turned, and the way from one to the next.
            c, s = cosine[t], sine[t]
            u, v = c * across + s * up, c * up - s * across
            for m in range(weights.shape[1]):
                _add_line(
                    maps[m],
                    fine_size[1],
                    np.float32(weights[t, m]),
                    (u - fine_place[0]) * wide,
                    c * place[1] * wide,
                    (v - fine_place[2]) * high,
                    -s * place[1] * high,
                    lux[row, 3 * left : 3 * right],
                )


@kernel
def _add_rows_around(first, last, given):
    """The same for a wall, whose maps have no end."""
    chart, fine_size, fine_place, maps, turns, weights, lux = uncounted(given)
    _, _, size, place = chart
    _, _, angle = turns
    rows, columns = fine_size[0], fine_size[1]
    step = place[1] / fine_place[1]
    for row in range(first, last):
        up = place[2] + row * place[3]
        y = min(max((up - fine_place[2]) / fine_place[3], 0.0), rows - 1.0)
        i = int(y)
        below, s = min(i + 1, rows - 1), y - i
        for t in range(angle.size):
            start = (place[0] - angle[t] - fine_place[0]) / fine_place[1]
            for column in range(size[1]):
                x = start + column * step
                x -= columns * math.floor(x / columns)
                j = int(x)
                beside, r = (j + 1 if j + 1 < columns else 0), x - j
                for m in range(weights.shape[1]):
                    for k in range(3):
                        high = maps[m, 3 * (i * columns + j) + k] * (1.0 - r)
                        high += maps[m, 3 * (i * columns + beside) + k] * r
                        low = maps[m, 3 * (below * columns + j) + k] * (1.0 - r)
                        low += maps[m, 3 * (below * columns + beside) + k] * r
                        value = (1.0 - s) * high + s * low
                        lux[row, 3 * column + k] += np.float32(weights[t, m] * value)


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
    given = (form, fine.size, fine_place, flat, turns, weights, lux.reshape(len(lux), -1))
    share_out(chart.size[0], _add_rows_around if chart.is_wall else _add_rows, given)
