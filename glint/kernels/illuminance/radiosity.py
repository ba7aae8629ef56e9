"""Light that bounces about between the surfaces of a room: soft, but not the same everywhere.

Radiosity (Goral, Torrance, Greenberg & Battaile 1984) among coarse patches: all of them see each
other, for rooms are convex.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.kernels.runtime.jit import contracted, kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import Chart, point

SUB = 3
"""Points along the side of a patch that stand for it."""

SWAY = 0.75
"""How far a patch's light is smoothed into its neighbours, patches."""


SOME = 256
"""Columns of a fine map that are worked out together: what they need stays at hand."""


class Patches(NamedTuple):
    """Coarse patches of all surfaces, those off the surfaces left out.

    charts: the coarse charts. inside: for each, (h, w) bool
    area: (n,) float, m**2. give: (n, n) float, of row i the share of its view that is patch j
    """

    charts: tuple[Chart, ...]
    inside: tuple[np.ndarray, ...]
    area: Floats
    give: Floats


@kernel
def _samples(kind, size, place, form, sub):
    """Points and normals inside each texel: (h, w, sub**2, 7) float, the last whether it is on."""
    found = np.zeros((size[0], size[1], sub * sub, 7))
    for row in range(size[0]):
        for column in range(size[1]):
            for k in range(sub * sub):
                on, x, y, z, nx, ny, nz = point(
                    kind,
                    form,
                    place[0] + (column + (k % sub + 0.5) / sub - 0.5) * place[1],
                    place[2] + (row + (k // sub + 0.5) / sub - 0.5) * place[3],
                )
                spot = found[row, column, k]
                spot[0], spot[1], spot[2] = x, y, z
                spot[3], spot[4], spot[5] = nx, ny, nz
                spot[6] = 1.0 if on else 0.0
    return found


@kernel
def _views(samples, middle, area):
    """Share of the view from each patch's middle that every patch fills, rows adding up to 1."""
    number, sub = samples.shape[0], samples.shape[1]
    share = np.zeros((number, number))
    for i in range(number):
        total = 0.0
        for j in range(number):
            if j == i:
                continue
            sum_j, on = 0.0, 0.0
            for k in range(sub):
                if samples[j, k, 6] == 0.0:
                    continue
                on += 1.0
                dx = samples[j, k, 0] - middle[i, 0]
                dy = samples[j, k, 1] - middle[i, 1]
                dz = samples[j, k, 2] - middle[i, 2]
                leave = dx * middle[i, 3] + dy * middle[i, 4] + dz * middle[i, 5]
                meet = -(dx * samples[j, k, 3] + dy * samples[j, k, 4] + dz * samples[j, k, 5])
                if leave > 0.0 and meet > 0.0:
                    square = dx * dx + dy * dy + dz * dz
                    sum_j += leave * meet / (math.pi * square * square)
            if on > 0.0:
                share[i, j] = sum_j / on * area[j]
                total += share[i, j]
        for j in range(number):
            share[i, j] /= total
    return share


def patches_of(charts: tuple[Chart, ...]) -> Patches:
    """The patches of coarse charts, and what each sees of the others."""
    kept, areas, inside = [], [], []
    for chart in charts:
        found = _samples(chart.kind, chart.size, chart.place, chart.form, SUB)
        on = found[..., 6].sum(axis=2)
        inside.append(on > 0)
        kept.append(found[on > 0])
        areas.append(on[on > 0] / SUB**2 * chart.texel_area)
    samples, area = np.concatenate(kept), np.concatenate(areas)
    weight = samples[..., 6:]
    middle = (samples[..., :6] * weight).sum(axis=1) / weight.sum(axis=1)
    return Patches(charts, tuple(inside), area, _views(samples, middle, area))


def bounced(patches: Patches, direct: Floats, reflectance: Floats) -> Floats:
    """Illuminance on each patch by light that other patches sent back, any number of times, lx.

    direct: (n, 3) float, lx. reflectance: (n, 3) float, below 1. Solved round by round until a
    round adds less than a millionth.
    """
    added = patches.give @ (reflectance * direct)
    total = added.copy()
    while added.max() > 1e-6 * max(float(total.max()), 1e-300):
        added = patches.give @ (reflectance * added)
        total += added
    return total


def coarse_means(patches: Patches, maps: list[np.ndarray]) -> Floats:
    """Mean of fine maps, (h, w, k) each, over the patches: (n, k) float."""
    found = []
    for chart, inside, fine in zip(patches.charts, patches.inside, maps, strict=True):
        rows, columns = (int(side) for side in chart.size)
        down = np.linspace(0, fine.shape[0], rows + 1).round().astype(int)
        right = np.linspace(0, fine.shape[1], columns + 1).round().astype(int)
        sums = np.add.reduceat(fine, right[:-1], axis=1, dtype=np.float32)
        sums = np.add.reduceat(sums, down[:-1], axis=0, dtype=np.float64)
        lit = sums / (np.diff(down)[:, None, None] * np.diff(right)[None, :, None])
        # A map is dark off its surface: a rim's patch is the mean of its part on the surface.
        share = _coverage(chart, inside)
        found.append(lit[inside] / share[:, None])
    return np.concatenate(found)


def _coverage(chart: Chart, inside: np.ndarray) -> Floats:
    found = _samples(chart.kind, chart.size, chart.place, chart.form, 8)
    return np.maximum(found[..., 6].mean(axis=2)[inside], 0.05)


@contracted
def _spread_row(weights, right, sums, fine):
    """One row of a fine map, from a row of patches.

    weights: (c, 4) float, of each patch three values and what they count, times its share in this
    row; right: (c, w) float, its share in each column. sums: (4, SOME) float, to work in; fine: (w,
    3) float32, added to.
    """
    red, green, blue, count = sums[0], sums[1], sums[2], sums[3]
    for first in range(0, right.shape[1], SOME):
        number = min(SOME, right.shape[1] - first)
        for w in range(number):
            red[w] = green[w] = blue[w] = count[w] = 0.0
        for c in range(right.shape[0]):
            share = right[c, first : first + number]
            r, g, b, n = weights[c, 0], weights[c, 1], weights[c, 2], weights[c, 3]
            for w in range(number):
                red[w] += share[w] * r
                green[w] += share[w] * g
                blue[w] += share[w] * b
                count[w] += share[w] * n
        for w in range(number):
            whole = 1.0 / (count[w] if count[w] > 1e-9 else 1e-9)
            red[w], green[w], blue[w] = red[w] * whole, green[w] * whole, blue[w] * whole
        for w in range(number):
            fine[first + w, 0] += np.float32(red[w])
            fine[first + w, 1] += np.float32(green[w])
            fine[first + w, 2] += np.float32(blue[w])


@kernel
def _spread_rows(first, last, given):
    """Rows of a fine map from first to last; see `spread_out`."""
    coarse, down, right, fine = uncounted(given)
    weights, sums = np.empty((coarse.shape[1], 4)), np.empty((4, SOME))
    for row in range(first, last):
        weights[:] = 0.0
        for r in range(coarse.shape[0]):
            for c in range(coarse.shape[1]):
                for k in range(4):
                    weights[c, k] += down[row, r] * coarse[r, c, k]
        _spread_row(weights, right, sums, fine[row])


def spread_out(
    patches: Patches, values: Floats, sizes: list[tuple[int, int]]
) -> NDArray[np.float32]:
    """Values (n, 3) of patches as smooth fine maps of the sizes given, (h, w) each: the texels of
    all of them in a row, (t, 3) float32."""
    every = np.zeros((sum(height * width for height, width in sizes), 3), np.float32)
    add_spread_out(patches, values, sizes, every)
    return every


def add_spread_out(
    patches: Patches,
    values: Floats,
    sizes: list[tuple[int, int]],
    every: NDArray[np.float32],
) -> None:
    """Add what `spread_out` gives to maps in a row, (t, 3) float32, that are there already."""
    patch = texel = 0
    for chart, inside, (height, width) in zip(patches.charts, patches.inside, sizes, strict=True):
        number = int(inside.sum())
        coarse = np.zeros((*inside.shape, 4))
        coarse[inside, :-1], coarse[inside, -1] = values[patch : patch + number], 1.0
        down = _smoothing(height, inside.shape[0], False)
        right = _smoothing(width, inside.shape[1], chart.is_wall).T
        fine = every[texel : texel + height * width].reshape(height, width, 3)
        share_out(height, _spread_rows, (coarse, down, np.ascontiguousarray(right), fine))
        patch, texel = patch + number, texel + height * width


def _smoothing(fine: int, coarse: int, around: bool) -> Floats:
    """How much each coarse step counts at each fine one: (fine, coarse) float, a Gaussian."""
    place = (np.arange(fine) + 0.5) * coarse / fine - 0.5
    away = np.abs(place[:, None] - np.arange(coarse))
    if around:
        away = np.minimum(away, coarse - away)
    return np.exp(-0.5 * (away / SWAY) ** 2) + 1e-12
