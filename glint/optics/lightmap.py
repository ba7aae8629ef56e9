"""Beams onto a chart: illuminance at every texel."""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import Beams, Flags, Lamps
from glint.optics.blocks import Blocks, blocks_of
from glint.optics.borrow import borrowed
from glint.optics.chart import LEAF, Chart, block_points, point
from glint.optics.clear import is_clear
from glint.optics.compile import kernel
from glint.optics.cone import meets
from glint.optics.means import LIT, add_means, clear, lit_sides
from glint.optics.pane import panes_of
from glint.optics.penumbra import LUX, illuminate, workplace
from glint.optics.threads import share_out

MOST_SAMPLES = 6
"""Most samples along a texel's side where a spot is sharper than the texels."""


@kernel
def _samples(sharpness, pane, sphere, apex, texel):
    """Samples along a texel's side. The edge of a spot is as soft as the image of the lens or of
    the pane, whichever is smaller; texels coarser than half of that are sampled finer."""
    square = 0.0
    for k in range(3):
        square += (sphere[k] - apex[k]) ** 2
    whole = math.sqrt(square)
    soft = min(
        sharpness[1, pane] * max(whole - sharpness[0, pane], 0.0), sharpness[2, pane] * whole
    )
    if soft * MOST_SAMPLES <= 2.0 * texel:
        return MOST_SAMPLES
    return max(math.ceil(2.0 * texel / soft), 1)


@kernel
def place_point(work, t, apex, frame, x, y, z, nx, ny, nz):
    """Put a point of the room, with its normal, in place t of a workplace, in the lens frame."""
    dx, dy, dz = x - apex[0], y - apex[1], z - apex[2]
    work[0, t] = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
    work[1, t] = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
    work[2, t] = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
    work[3, t] = frame[0, 0] * nx + frame[0, 1] * ny + frame[0, 2] * nz
    work[4, t] = frame[1, 0] * nx + frame[1, 1] * ny + frame[1, 2] * nz
    work[5, t] = frame[2, 0] * nx + frame[2, 1] * ny + frame[2, 2] * nz


@kernel
def beyond(corners):
    """How far along the lens axis a point must be to lie beyond all corners of a pane, m."""
    return (1.0 + 1e-9) * max(max(corners[2, 0], corners[2, 1]), max(corners[2, 2], corners[2, 3]))


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
def _leaf_light(beams, lamps, panes, pane, texels, lit, work, chosen, total):
    """Add a pane's light to the marked texels of a leaf: whether there is any.

    total: (LEAF**2, 3) float, lx
    """
    b = panes.beam[pane]
    apex, frame, least = beams.apex[b], beams.frame[b], beyond(panes.corners[pane])
    number = np.int64(0)
    for t in range(LEAF * LEAF):
        if lit[t] and texels[6, t] > 0.0:
            place_point(
                work,
                number,
                apex,
                frame,
                texels[0, t],
                texels[1, t],
                texels[2, t],
                texels[3, t],
                texels[4, t],
                texels[5, t],
            )
            if work[2, number] > least:
                chosen[number] = t
                number += 1
    lamp = beams.lamp[b]
    illuminate(work, number, panes.corners[pane], lamps, lamp, beams.share[b])
    some = False
    for n in range(number):
        if work[LUX, n] != 0.0:
            some = True
            for k in range(3):
                total[chosen[n], k] += work[LUX, n] * lamps.colour[lamp, k]
    return some


@kernel
def _fine_light(beams, lamps, panes, pane, kind, form, place, row, column, fine, work):
    """Mean illuminance of a pane over a texel, from fine x fine samples (MANY at most)."""
    b = panes.beam[pane]
    apex, frame, least = beams.apex[b], beams.frame[b], beyond(panes.corners[pane])
    number = np.int64(0)
    for v in range(fine):
        for u in range(fine):
            _, x, y, z, nx, ny, nz = point(
                kind,
                form,
                place[0] + (column + (u + 0.5) / fine - 0.5) * place[1],
                place[2] + (row + (v + 0.5) / fine - 0.5) * place[3],
            )
            place_point(work, number, apex, frame, x, y, z, nx, ny, nz)
            if work[2, number] > least:
                number += 1
    illuminate(work, number, panes.corners[pane], lamps, beams.lamp[b], beams.share[b])
    value = 0.0
    for n in range(number):
        value += work[LUX, n]
    return value / (fine * fine)


@kernel
def _light_halls(first, last, given):
    """Light the halls from first to last in order. The texels of a hall take the panes in order, so
    the sums are the same to the last bit on any number of threads.

    centres: (h, w, 3) float32, lx, where light is taken at the middle of texels; lux: the same,
    where it is a mean over texels. met: (R, C) uint8, written for leaves that
    light reaches, see `means`.
    """
    beams, lamps, panes, texel, chart, blocks, centres, lux, met = borrowed(given)
    kind, size, place, form = chart
    hall, leaf, order = blocks
    per_hall = leaf.shape[0] // hall.shape[0]
    count = panes.beam.shape[0]
    for job in range(first, last):
        r0, c0 = order[job] // hall.shape[1], order[job] % hall.shape[1]
        hit, near = np.empty(count, np.bool_), np.empty(count, np.int64)
        number = _meeting(panes.cones, count, hall[r0, c0], hit, near)
        if number == 0:
            continue
        close = np.empty((8, number))
        for n in range(number):
            for k in range(8):
                close[k, n] = panes.cones[k, near[n]]
        here = np.empty(number, np.int64)
        texels = np.empty((7, LEAF * LEAF))
        lit = np.empty(LEAF * LEAF, np.bool_)
        total, means = np.empty((LEAF * LEAF, 3)), np.empty((LEAF * LEAF, 3))
        chosen = np.empty(LEAF * LEAF, np.int64)
        work = workplace()
        for r in range(r0 * per_hall, (r0 + 1) * per_hall):
            for c in range(c0 * per_hall, (c0 + 1) * per_hall):
                found = _meeting(close, number, leaf[r, c], hit, here)
                if found == 0:
                    continue
                rows = min(LEAF, size[0] - r * LEAF)
                columns = min(LEAF, size[1] - c * LEAF)
                ready = some_light = some_means = False
                for m in range(found):
                    pane = near[here[m]]
                    b = panes.beam[pane]
                    fine = _samples(panes.sharpness, pane, leaf[r, c], beams.apex[b], texel)
                    more = 0.0 if fine == 1 else texel
                    if is_clear(
                        panes.corners[pane],
                        lamps.lens_radius[beams.lamp[b]],
                        lamps.sphere[beams.lamp[b]],
                        leaf[r, c],
                        more,
                        beams.apex[b],
                        beams.frame[b],
                    ):
                        continue
                    if not ready:
                        ready = True
                        block_points(kind, form, place, r * LEAF, c * LEAF, LEAF, texels)
                        for t in range(LEAF * LEAF):
                            if t // LEAF >= rows or t % LEAF >= columns:
                                texels[6, t] = 0.0
                        total[:] = 0.0
                        means[:] = 0.0
                    _texels_in(close, here[m], texels, more, lit)
                    if fine == 1:
                        if _leaf_light(beams, lamps, panes, pane, texels, lit, work, chosen, total):
                            some_light = True
                        continue
                    some_means = True
                    for t in range(LEAF * LEAF):
                        if lit[t] and texels[6, t] > 0.0:
                            row, column = r * LEAF + t // LEAF, c * LEAF + t % LEAF
                            value = _fine_light(
                                beams,
                                lamps,
                                panes,
                                pane,
                                kind,
                                form,
                                place,
                                row,
                                column,
                                fine,
                                work,
                            )
                            for k in range(3):
                                means[t, k] += value * lamps.colour[beams.lamp[b], k]
                if some_light:
                    met[r, c] |= lit_sides(total, rows, columns)
                    for i in range(rows):
                        for j in range(columns):
                            for k in range(3):
                                centres[r * LEAF + i, c * LEAF + j, k] = total[i * LEAF + j, k]
                if some_means:
                    met[r, c] |= LIT
                    for i in range(rows):
                        for j in range(columns):
                            for k in range(3):
                                lux[r * LEAF + i, c * LEAF + j, k] += means[i * LEAF + j, k]


def add_beams(
    beams: Beams,
    lamps: Lamps,
    chart: Chart,
    lux: np.ndarray,
    blocks: Blocks | None = None,
    touched: Flags | None = None,
    centres: np.ndarray | None = None,
) -> None:
    """Add the illuminance of every beam to a map: means over texels.

    lux: (h, w, 3) float32, linear RGB, lx, of the chart's size; changed in place.
    blocks: of the chart, if kept from before.
    touched: (R, C) bool, a leaf each; those that light reaches are set, the others left.
    centres: (h, w, 3) float32, all zero, to work in, if kept from before; it is left all zero.
    """
    blocks = blocks_of(chart) if blocks is None else blocks
    met = np.zeros(blocks.leaf.shape[:2], np.uint8)
    if touched is None:
        touched = np.zeros(met.shape, np.bool_)
    if centres is None:
        centres = np.zeros_like(lux)
    form = (chart.kind, chart.size, np.ascontiguousarray(chart.place), chart.form)
    halls = (blocks.hall, blocks.leaf, blocks.halls)
    texel = math.sqrt(chart.texel_area)
    given = (beams, lamps, panes_of(beams, lamps), texel, form, halls, centres, lux, met)
    share_out(len(blocks.halls), _light_halls, given)
    touched[met > 0] = True
    add_means(centres, met, blocks, lux, touched)
    clear(centres, met)
