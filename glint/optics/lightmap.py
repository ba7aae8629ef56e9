"""Beams onto a chart: illuminance at every texel."""

from __future__ import annotations

import math

import numpy as np
from numba import prange

from glint.optics.arrays import MOST_CORNERS, Beams, Flags, Lamps
from glint.optics.blocks import Blocks, blocks_of
from glint.optics.chart import LEAF, Chart, point
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone, may_meet
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
    """Points, normals and whether on the surface, of a leaf's texels: (LEAF, LEAF, 7) float."""
    for i in range(LEAF):
        for j in range(LEAF):
            on, x, y, z, nx, ny, nz = point(
                kind,
                form,
                place[0] + (c * LEAF + j) * place[1],
                place[2] + (r * LEAF + i) * place[3],
            )
            t = texels[i, j]
            t[0], t[1], t[2], t[3], t[4], t[5] = x, y, z, nx, ny, nz
            t[6] = 1.0 if on else 0.0


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
    for job in prange(order.shape[0]):
        r0, c0 = order[job] // hall.shape[1], order[job] % hall.shape[1]
        sphere = hall[r0, c0]
        number = 0
        near = np.empty(beams.lamp.shape[0], np.int64)
        for b in range(beams.lamp.shape[0]):
            if may_meet(cones[b], sphere[0], sphere[1], sphere[2], sphere[3]):
                near[number] = b
                number += 1
        if number == 0:
            continue
        xs, ys, spot = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS), np.empty(6)
        texels = np.empty((LEAF, LEAF, 7))
        total = np.empty((LEAF, LEAF, 3))
        for r in range(r0 * per_hall, (r0 + 1) * per_hall):
            for c in range(c0 * per_hall, (c0 + 1) * per_hall):
                ball = leaf[r, c]
                rows = min(LEAF, size[0] - r * LEAF)
                columns = min(LEAF, size[1] - c * LEAF)
                met = False
                for n in range(number):
                    b = near[n]
                    cone = cones[b]
                    if not may_meet(cone, ball[0], ball[1], ball[2], ball[3]):
                        continue
                    if not met:
                        met = True
                        _fill(kind, form, place, r, c, texels)
                        total[:] = 0.0
                    colour = lamps.colour[beams.lamp[b]]
                    fine = _samples(sharpness[b], ball, beams.apex[b], texel)
                    reach = 0.0 if fine == 1 else texel
                    for i in range(rows):
                        for j in range(columns):
                            t = texels[i, j]
                            if t[6] == 0.0 or not may_meet(cone, t[0], t[1], t[2], reach):
                                continue
                            if fine == 1:
                                value = beam_at(beams, lamps, corners, b, t, xs, ys)
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
                                total[i, j, 0] += value * colour[0]
                                total[i, j, 1] += value * colour[1]
                                total[i, j, 2] += value * colour[2]
                if met:
                    touched[r, c] = True
                    for i in range(rows):
                        for j in range(columns):
                            for k in range(3):
                                lux[r * LEAF + i, c * LEAF + j, k] += total[i, j, k]


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
        cones,
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
