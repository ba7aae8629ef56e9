"""Each spot by itself: where it lies, how large, how bright."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers, Lamps
from glint.kernels.geometry.bounding_cone import meets
from glint.kernels.illuminance.penumbra import LUX, illuminate, workplace
from glint.kernels.illuminance.window_quads import window_quads
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import LEAF, Chart, point
from glint.kernels.surfaces.texel_tree import block_spheres

GRID = 64
"""Samples along the side of the box about a spot, MANY at most."""

SUB = 4
"""Cells along the side of a block of texels, when a spot's box is sought."""


@kernel
def _meets(cones, quad, x, y, z, radius):
    """`cone.may_meet` for one column of cones."""
    return meets(
        cones[0, quad],
        cones[1, quad],
        cones[2, quad],
        cones[3, quad],
        cones[4, quad],
        cones[5, quad],
        cones[6, quad],
        cones[7, quad],
        x,
        y,
        z,
        radius,
    )


@kernel
def _box(cones, first, last, kind, place, form, leaf, box):
    """The chart box, in texels, of every cell that a cone may meet. False if there is none."""
    box[0], box[1], box[2], box[3] = 1e9, -1e9, 1e9, -1e9
    cell = LEAF / SUB
    for r in range(leaf.shape[0]):
        for c in range(leaf.shape[1]):
            s = leaf[r, c]
            near = False
            for b in range(first, last):
                if _meets(cones, b, s[0], s[1], s[2], s[3]):
                    near = True
            if not near:
                continue
            for i in range(SUB):
                for j in range(SUB):
                    x, y = c * LEAF + (j + 0.5) * cell - 0.5, r * LEAF + (i + 0.5) * cell - 0.5
                    _, px, py, pz, _, _, _ = point(
                        kind, form, place[0] + x * place[1], place[2] + y * place[3]
                    )
                    # A cell's circumscribed circle, with room for the chart's stretch (at most
                    # the square root of two on a half-sphere).
                    for b in range(first, last):
                        if _meets(cones, b, px, py, pz, 1.6 * s[3] / SUB):
                            box[0], box[1] = min(box[0], x - cell), max(box[1], x + cell)
                            box[2], box[3] = min(box[2], y - cell), max(box[3], y + cell)
                            break
    return box[1] > box[0]


@kernel
def _measure(begin, end, given):
    beams, lamps, quads, start, kind, place, form, leaf, result = uncounted(given)
    for group in range(begin, end):
        first, last = start[group], start[group + 1]
        box = np.empty(4)
        if not _box(quads.cones, first, last, kind, place, form, leaf, box):
            continue
        work = workplace()
        row, every = np.zeros((8, GRID)), np.arange(GRID)
        found = result[group]
        for fine in range(2):
            found[:] = 0.0
            width, height = (box[1] - box[0]) / GRID, (box[3] - box[2]) / GRID
            tight = np.array([1e9, -1e9, 1e9, -1e9])
            for i in range(GRID):
                y = box[2] + (i + 0.5) * height
                _light_row(
                    beams, lamps, quads, first, last, kind, place, form, box, y, every, work, row
                )
                for j in range(GRID):
                    value = row[7, j]
                    if value <= 0.0:
                        continue
                    x = box[0] + (j + 0.5) * width
                    tight[0], tight[1] = min(tight[0], x - width), max(tight[1], x + width)
                    tight[2], tight[3] = min(tight[2], y - height), max(tight[3], y + height)
                    found[0] += value
                    found[1] = max(found[1], value)
                    at = 2
                    for k in range(3):
                        found[at] += value * row[k, j]
                        at += 1
                    for k in range(3):
                        for m in range(k, 3):
                            found[at] += value * row[k, j] * row[m, j]
                            at += 1
            if found[0] == 0.0:
                break
            for k in range(2, 11):
                found[k] /= found[0]
            found[0] *= width * height
            if fine == 0:
                box[:] = tight


@kernel
def _light_row(beams, lamps, quads, first, last, kind, place, form, box, y, every, work, row):
    """Light a row of GRID samples by quads first to last. row: (8, GRID) float, written: points
    and normals as `illuminate` takes them, and illuminance, lx; zero off the surface."""
    on_surface = np.empty(GRID, np.bool_)
    width = (box[1] - box[0]) / GRID
    for j in range(GRID):
        x = box[0] + (j + 0.5) * width
        on, px, py, pz, nx, ny, nz = point(
            kind, form, place[0] + x * place[1], place[2] + y * place[3]
        )
        row[0, j], row[1, j], row[2, j] = px, py, pz
        row[4, j], row[5, j], row[6, j] = nx, ny, nz
        row[7, j] = 0.0
        on_surface[j] = on
    for quad in range(first, last):
        b = quads.beam[quad]
        apex, frame, corners = beams.apex[b], beams.frame[b], quads.corners[quad]
        lamp, share = beams.lamp[b], beams.share[b]
        illuminate(work, row, every, np.int64(GRID), apex, frame, corners, lamps, lamp, share)
        for j in range(GRID):
            row[7, j] += work[LUX, j] if on_surface[j] else 0.0


def measure_spots(beams: Beams, lamps: Lamps, start: Integers, chart: Chart) -> Floats:
    """Lumens, peak, place and size of each spot on one surface.

    beams: sorted by spot; spot i is made of beams start[i] to start[i + 1].
    Returns (s, 7) float: lumens, peak lux, centroid (3) m, area m**2, diameter m; all zero where
    a spot misses the surface. Area and diameter are those of the second moments of illuminance
    (ISO 11146-1: a width is four standard deviations, which for an even disc is its diameter);
    areas of sharp-edged spots are right to about 3 %, of soft ones to better than 1 %.
    """
    quads = window_quads(beams, lamps)
    # Beams are sorted by spot, and quads by beam.
    start = np.searchsorted(quads.beam, start).astype(np.int64)
    place = np.ascontiguousarray(chart.place)
    leaf, _ = block_spheres(chart, LEAF)
    raw = np.zeros((len(start) - 1, 11))
    given = (beams, lamps, quads, start, chart.kind, place, chart.form, leaf, raw)
    share_out(len(raw), _measure, given)
    result = np.zeros((len(raw), 7))
    result[:, 0] = raw[:, 0] * chart.texel_area
    result[:, 1:5] = raw[:, 1:5]
    centre = raw[:, 2:5]
    moments = np.zeros((len(raw), 3, 3))
    rows, columns = np.triu_indices(3)
    moments[:, rows, columns] = raw[:, 5:]
    moments[:, columns, rows] = raw[:, 5:]
    moments -= centre[:, :, None] * centre[:, None, :]
    variances = np.clip(np.linalg.eigvalsh(moments), 0.0, None)
    result[:, 5] = 4.0 * math.pi * np.sqrt(variances[:, 1] * variances[:, 2])
    result[:, 6] = 2.0 * np.sqrt(result[:, 5] / math.pi)
    return result
