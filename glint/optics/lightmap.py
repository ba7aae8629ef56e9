"""Beams onto a chart: illuminance at every texel."""

from __future__ import annotations

import math

import numpy as np
from numba import prange

from glint.optics.arrays import MOST_CORNERS, Beams, Lamps
from glint.optics.chart import LEAF, Chart, block_spheres, point
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


@kernel(parallel=True)
def _accumulate(
    beams, lamps, cones, corners, sharpness, texel, kind, size, place, form, hall, leaf, order, lux
):
    """Each block of texels belongs to one worker and takes the beams in order, so the sums are
    the same to the last bit on any number of threads."""
    hall_columns = hall.shape[1]
    per_hall = leaf.shape[0] // hall.shape[0]
    for job in prange(order.shape[0]):
        block = order[job]
        r0, c0 = block // hall_columns, block % hall_columns
        sphere = hall[r0, c0]
        number = 0
        near = np.empty(beams.lamp.shape[0], np.int64)
        for b in range(beams.lamp.shape[0]):
            if may_meet(cones[b], sphere[0], sphere[1], sphere[2], sphere[3]):
                near[number] = b
                number += 1
        if number > 0:
            xs, ys = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS)
            texels = np.empty((LEAF * LEAF, 6))
            inside = np.empty(LEAF * LEAF, np.bool_)
            total = np.empty((LEAF * LEAF, 3))
            spot = np.empty(6)
            for r in range(r0 * per_hall, min((r0 + 1) * per_hall, leaf.shape[0])):
                for c in range(c0 * per_hall, min((c0 + 1) * per_hall, leaf.shape[1])):
                    fresh = True
                    rows = min(LEAF, size[0] - r * LEAF)
                    columns = min(LEAF, size[1] - c * LEAF)
                    for n in range(number):
                        b = near[n]
                        if not may_meet(
                            cones[b], leaf[r, c, 0], leaf[r, c, 1], leaf[r, c, 2], leaf[r, c, 3]
                        ):
                            continue
                        if fresh:
                            fresh = False
                            for i in range(rows):
                                for j in range(columns):
                                    t = i * LEAF + j
                                    on, x, y, z, nx, ny, nz = point(
                                        kind,
                                        form,
                                        place[0] + (c * LEAF + j) * place[1],
                                        place[2] + (r * LEAF + i) * place[3],
                                    )
                                    inside[t] = on
                                    texels[t, 0], texels[t, 1], texels[t, 2] = x, y, z
                                    texels[t, 3], texels[t, 4], texels[t, 5] = nx, ny, nz
                                    total[t, 0] = total[t, 1] = total[t, 2] = 0.0
                        fine = _samples(sharpness[b], leaf[r, c], beams.apex[b], texel)
                        for i in range(rows):
                            for j in range(columns):
                                t = i * LEAF + j
                                if not inside[t]:
                                    continue
                                value = 0.0
                                if fine == 1:
                                    value = beam_at(beams, lamps, corners, b, texels[t], xs, ys)
                                else:
                                    for v in range(fine):
                                        for u in range(fine):
                                            x, y, z, nx, ny, nz = point(
                                                kind,
                                                form,
                                                place[0]
                                                + (c * LEAF + j + (u + 0.5) / fine - 0.5)
                                                * place[1],
                                                place[2]
                                                + (r * LEAF + i + (v + 0.5) / fine - 0.5)
                                                * place[3],
                                            )[1:]
                                            spot[0], spot[1], spot[2] = x, y, z
                                            spot[3], spot[4], spot[5] = nx, ny, nz
                                            value += beam_at(beams, lamps, corners, b, spot, xs, ys)
                                    value /= fine * fine
                                for k in range(3):
                                    total[t, k] += value * lamps.colour[beams.lamp[b], k]
                    if not fresh:
                        for i in range(rows):
                            for j in range(columns):
                                if inside[i * LEAF + j]:
                                    for k in range(3):
                                        lux[r * LEAF + i, c * LEAF + j, k] += total[i * LEAF + j, k]


def add_beams(beams: Beams, lamps: Lamps, chart: Chart, lux: np.ndarray) -> None:
    """Add the illuminance of every beam to a map.

    lux: (h, w, 3) float32, linear RGB, lx, of the chart's size; changed in place.
    """
    cones, corners, sharpness = prepare(beams, lamps)
    place = np.ascontiguousarray(chart.place)
    leaf = block_spheres(chart.kind, chart.size, place, chart.form, LEAF)
    wide = LEAF * max(4, int(max(chart.size)) // (16 * LEAF))
    hall = block_spheres(chart.kind, chart.size, place, chart.form, wide)
    per_hall = wide // LEAF
    rows, columns = hall.shape[0] * per_hall, hall.shape[1] * per_hall
    padded = np.full((rows, columns, 4), -1.0)
    padded[: leaf.shape[0], : leaf.shape[1]] = leaf
    # Dealt out with a stride, so that every worker gets bright and dark neighbourhoods.
    blocks = np.arange(hall.shape[0] * hall.shape[1])
    order = np.concatenate([blocks[first::7] for first in range(7)])
    _accumulate(
        beams,
        lamps,
        cones,
        corners,
        sharpness,
        math.sqrt(chart.texel_area),
        chart.kind,
        chart.size,
        place,
        chart.form,
        hall,
        padded,
        order,
        lux,
    )
