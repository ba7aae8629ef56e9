"""Light that bounces about between the surfaces of a room: soft, but not the same everywhere.

Radiosity (Goral, Torrance, Greenberg & Battaile 1984) among coarse patches: all of them see each
other, for rooms are convex.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Floats
from glint.optics.chart import CYLINDER, Chart, point
from glint.optics.compile import kernel

SUB = 3
"""Points along the side of a patch that stand for it."""

BAND = 128
"""Rows of a fine map that are worked out at once."""

SWAY = 0.75
"""How far a patch's light is smoothed into its neighbours, patches."""


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


def spread_out(patches: Patches, values: Floats, sizes: list[tuple[int, int]]) -> list[np.ndarray]:
    """Values of patches as smooth fine maps: (h, w, k) float32 each, of the sizes given."""
    maps, first = [], 0
    for chart, inside, (height, width) in zip(patches.charts, patches.inside, sizes, strict=True):
        number = int(inside.sum())
        coarse = np.zeros((*inside.shape, values.shape[1] + 1))
        coarse[inside, :-1], coarse[inside, -1] = values[first : first + number], 1.0
        first += number
        down = _smoothing(height, inside.shape[0], False)
        right = _smoothing(width, inside.shape[1], chart.kind == CYLINDER)
        tall = np.einsum("hr,rck->hck", down, coarse)
        fine = np.empty((height, width, values.shape[1]), np.float32)
        # Band by band, for doubles of all of a fine map would weigh more than the picture.
        for top in range(0, height, BAND):
            band = np.einsum("wc,hck->hwk", right, tall[top : top + BAND], optimize=True)
            fine[top : top + BAND] = band[..., :-1] / np.maximum(band[..., -1:], 1e-9)
        maps.append(fine)
    return maps


def _smoothing(fine: int, coarse: int, around: bool) -> Floats:
    """How much each coarse step counts at each fine one: (fine, coarse) float, a Gaussian."""
    place = (np.arange(fine) + 0.5) * coarse / fine - 0.5
    away = np.abs(place[:, None] - np.arange(coarse))
    if around:
        away = np.minimum(away, coarse - away)
    return np.exp(-0.5 * (away / SWAY) ** 2) + 1e-12
