"""Beams onto a chart: illuminance at every texel."""

from __future__ import annotations

import math

import numpy as np
from numba import prange

from glint.optics.arrays import MOST_CORNERS, Beams, Flags, Lamps
from glint.optics.blocks import Blocks, blocks_of
from glint.optics.chart import LEAF, Chart, point
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone, meets
from glint.optics.illuminance import from_lens_part, lens_corners, visible_lens

MOST_SAMPLES = 6
"""Most samples along a texel's side where a spot is sharper than the texels."""


@kernel
def prepare(beams, lamps):
    number = beams.lamp.shape[0]
    cones = np.zeros((number, 8))
    corners = np.zeros((number, MOST_CORNERS, 3))
    sharpness = np.zeros((number, 3))
    for b in range(number):
        radius = lamps.lens_radius[beams.lamp[b]]
        bounding_cone(beams.apex[b], radius, beams.window[b], beams.sides[b], cones[b])
        lens_corners(beams.apex[b], beams.frame[b], beams.window[b], beams.sides[b], corners[b])
        middle, reach = np.zeros(3), 0.0
        for i in range(beams.sides[b]):
            middle += beams.window[b, i] / beams.sides[b]
        for i in range(beams.sides[b]):
            reach = max(reach, np.sqrt(np.sum((beams.window[b, i] - middle) ** 2)))
        sharpness[b, 0] = np.sqrt(np.sum((middle - beams.apex[b]) ** 2))
        sharpness[b, 1] = 2.0 * radius / sharpness[b, 0]
        sharpness[b, 2] = 2.0 * reach / sharpness[b, 0]
    return cones, corners, sharpness


@kernel
def _samples(sharpness, sphere, apex, texel):
    """Samples along a texel's side. The edge of a spot is as soft as the image of the lens or of
    the window, whichever is smaller; texels coarser than half of that are sampled finer."""
    square = 0.0
    for k in range(3):
        square += (sphere[k] - apex[k]) ** 2
    whole = math.sqrt(square)
    soft = min(sharpness[1] * max(whole - sharpness[0], 0.0), sharpness[2] * whole)
    if soft * MOST_SAMPLES <= 2.0 * texel:
        return MOST_SAMPLES
    return max(math.ceil(2.0 * texel / soft), 1)


@kernel
def beam_at(beams, lamps, corners, b, place, xs, ys):
    """Illuminance of one beam at a place: (6,) float, point and normal."""
    lamp, frame, apex = beams.lamp[b], beams.frame[b], beams.apex[b]
    dx, dy, dz = place[0] - apex[0], place[1] - apex[1], place[2] - apex[2]
    px = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
    py = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
    pz = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
    part, sx, sy = visible_lens(
        px, py, pz, corners[b], beams.sides[b], lamps.lens_radius[lamp], xs, ys
    )
    if part == 0.0:
        return 0.0
    return beams.share[b] * from_lens_part(
        lamps, lamp, frame, px, py, pz, place[3], place[4], place[5], part, sx, sy
    )


@kernel
def _fill(kind, form, place, r, c, texels):
    """Points, normals and whether on the surface, of a leaf's texels: (7, LEAF**2) float."""
    for i in range(LEAF):
        for j in range(LEAF):
            on, x, y, z, nx, ny, nz = point(
                kind,
                form,
                place[0] + (c * LEAF + j) * place[1],
                place[2] + (r * LEAF + i) * place[3],
            )
            t = i * LEAF + j
            texels[0, t], texels[1, t], texels[2, t] = x, y, z
            texels[3, t], texels[4, t], texels[5, t] = nx, ny, nz
            texels[6, t] = 1.0 if on else 0.0


@kernel
def _meeting(cones, number, sphere, hit, found):
    """Which of the first `number` cones may meet a sphere: written to found; their number.

    cones: (8, b) float, a column a cone, so that many are tested at once.
    """
    x, y, z, radius = sphere[0], sphere[1], sphere[2], sphere[3]
    for b in range(number):
        hit[b] = meets(
            cones[0, b],
            cones[1, b],
            cones[2, b],
            cones[3, b],
            cones[4, b],
            cones[5, b],
            cones[6, b],
            cones[7, b],
            x,
            y,
            z,
            radius,
        )
    met = 0
    for b in range(number):
        if hit[b]:
            found[met] = b
            met += 1
    return met


@kernel
def _texels_in(cones, b, texels, reach, hit):
    """Mark the texels of a leaf that a cone may meet."""
    cx, cy, cz = cones[0, b], cones[1, b], cones[2, b]
    ax, ay, az = cones[3, b], cones[4, b], cones[5, b]
    sine, cosine = cones[6, b], cones[7, b]
    for t in range(LEAF * LEAF):
        hit[t] = meets(
            cx,
            cy,
            cz,
            ax,
            ay,
            az,
            sine,
            cosine,
            texels[0, t],
            texels[1, t],
            texels[2, t],
            reach,
        )


@kernel
def _fine(beams, lamps, corners, b, kind, form, place, row, column, fine, spot, xs, ys):
    """Mean illuminance of one beam over a texel, from fine x fine samples."""
    value = 0.0
    for v in range(fine):
        for u in range(fine):
            _, x, y, z, nx, ny, nz = point(
                kind,
                form,
                place[0] + (column + (u + 0.5) / fine - 0.5) * place[1],
                place[2] + (row + (v + 0.5) / fine - 0.5) * place[3],
            )
            spot[0], spot[1], spot[2], spot[3], spot[4], spot[5] = x, y, z, nx, ny, nz
            value += beam_at(beams, lamps, corners, b, spot, xs, ys)
    return value / (fine * fine)


@kernel(parallel=True)
def _accumulate(
    beams,
    lamps,
    cones,
    corners,
    sharpness,
    texel,
    kind,
    size,
    place,
    form,
    hall,
    leaf,
    order,
    lux,
    touched,
):
    """Each hall belongs to one worker, and its texels take the beams in order, so the sums are
    the same to the last bit on any number of threads."""
    per_hall = leaf.shape[0] // hall.shape[0]
    count = cones.shape[1]
    for job in prange(order.shape[0]):
        r0, c0 = order[job] // hall.shape[1], order[job] % hall.shape[1]
        hit, near = np.empty(count, np.bool_), np.empty(count, np.int64)
        number = _meeting(cones, count, hall[r0, c0], hit, near)
        if number == 0:
            continue
        close = np.empty((8, number))
        for n in range(number):
            for k in range(8):
                close[k, n] = cones[k, near[n]]
        here = np.empty(number, np.int64)
        xs, ys, spot = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS), np.empty(6)
        texels = np.empty((7, LEAF * LEAF))
        lit = np.empty(LEAF * LEAF, np.bool_)
        total = np.empty((LEAF * LEAF, 3))
        for r in range(r0 * per_hall, (r0 + 1) * per_hall):
            for c in range(c0 * per_hall, (c0 + 1) * per_hall):
                met = _meeting(close, number, leaf[r, c], hit, here)
                if met == 0:
                    continue
                touched[r, c] = True
                rows = min(LEAF, size[0] - r * LEAF)
                columns = min(LEAF, size[1] - c * LEAF)
                _fill(kind, form, place, r, c, texels)
                total[:] = 0.0
                for m in range(met):
                    b = near[here[m]]
                    colour = lamps.colour[beams.lamp[b]]
                    fine = _samples(sharpness[b], leaf[r, c], beams.apex[b], texel)
                    _texels_in(close, here[m], texels, 0.0 if fine == 1 else texel, lit)
                    for i in range(rows):
                        for j in range(columns):
                            t = i * LEAF + j
                            if not lit[t] or texels[6, t] == 0.0:
                                continue
                            if fine == 1:
                                for k in range(6):
                                    spot[k] = texels[k, t]
                                value = beam_at(beams, lamps, corners, b, spot, xs, ys)
                            else:
                                row, column = r * LEAF + i, c * LEAF + j
                                value = _fine(
                                    beams,
                                    lamps,
                                    corners,
                                    b,
                                    kind,
                                    form,
                                    place,
                                    row,
                                    column,
                                    fine,
                                    spot,
                                    xs,
                                    ys,
                                )
                            if value > 0.0:
                                for k in range(3):
                                    total[t, k] += value * colour[k]
                for i in range(rows):
                    for j in range(columns):
                        for k in range(3):
                            lux[r * LEAF + i, c * LEAF + j, k] += total[i * LEAF + j, k]


def add_beams(
    beams: Beams,
    lamps: Lamps,
    chart: Chart,
    lux: np.ndarray,
    blocks: Blocks | None = None,
    touched: Flags | None = None,
) -> None:
    """Add the illuminance of every beam to a map.

    lux: (h, w, 3) float32, linear RGB, lx, of the chart's size; changed in place.
    blocks: of the chart, if kept from before.
    touched: (R, C) bool, a leaf each; those that a beam may reach are set, the others left.
    """
    cones, corners, sharpness = prepare(beams, lamps)
    blocks = blocks_of(chart) if blocks is None else blocks
    if touched is None:
        touched = np.zeros(blocks.leaf.shape[:2], np.bool_)
    _accumulate(
        beams,
        lamps,
        np.ascontiguousarray(cones.T),
        corners,
        sharpness,
        math.sqrt(chart.texel_area),
        chart.kind,
        chart.size,
        np.ascontiguousarray(chart.place),
        chart.form,
        blocks.hall,
        blocks.leaf,
        blocks.halls,
        lux,
        touched,
    )
