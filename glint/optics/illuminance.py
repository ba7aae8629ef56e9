"""Illuminance of one beam at one point, with the penumbra of the round lens."""

from __future__ import annotations

import math

from glint.optics.candela import candela
from glint.optics.compile import kernel
from glint.optics.disc import uncovered


@kernel
def lens_corners(apex, frame, window, count, corners):
    """The window in the (mirrored) lens frame, anticlockwise as seen against the light.

    corners: (MOST_CORNERS, 3) float, written.
    """
    for i in range(count):
        dx, dy, dz = window[i, 0] - apex[0], window[i, 1] - apex[1], window[i, 2] - apex[2]
        for k in range(3):
            corners[i, k] = frame[k, 0] * dx + frame[k, 1] * dy + frame[k, 2] * dz
    turn = 0.0
    for i in range(count):
        a, b = corners[i], corners[i + 1 if i + 1 < count else 0]
        turn += (a[0] * b[1] - a[1] * b[0]) / (a[2] * b[2])
    if turn < 0.0:
        for i in range(count // 2):
            for k in range(3):
                j = count - 1 - i
                corners[i, k], corners[j, k] = corners[j, k], corners[i, k]


@kernel
def visible_lens(px, py, pz, corners, count, radius, xs, ys):
    """Share of the lens that a point (in the lens frame) sees through the window, and centroid.

    Each corner is projected from the point onto the lens plane. A point nearer to the lens plane
    than a corner of the window is beside the window, not beyond it, and sees nothing: true
    everywhere but within a window's width of the window itself.
    """
    for i in range(count):
        if pz <= corners[i, 2] * (1.0 + 1e-9):
            return 0.0, 0.0, 0.0
        scale = 1.0 / (pz - corners[i, 2])
        xs[i] = (corners[i, 0] * pz - px * corners[i, 2]) * scale
        ys[i] = (corners[i, 1] * pz - py * corners[i, 2]) * scale
    return uncovered(xs, ys, count, radius)


@kernel
def from_lens_part(lamps, lamp, frame, px, py, pz, nx, ny, nz, part, sx, sy):
    """Illuminance, lx, from a part of a lens at a point with normal n (room frame).

    (px, py, pz): the point in the lens frame; (sx, sy): the part's centroid. I cos / d**2 taken
    towards the centroid is right to first order; the candela's second-order mean over the part
    (treated as a disc of the same area) comes from the lamp's `spread` table.
    """
    lx, ly = px - sx, py - sy
    square = lx * lx + ly * ly + pz * pz
    distance = math.sqrt(square)
    wx = frame[0, 0] * lx + frame[1, 0] * ly + frame[2, 0] * pz
    wy = frame[0, 1] * lx + frame[1, 1] * ly + frame[2, 1] * pz
    wz = frame[0, 2] * lx + frame[1, 2] * ly + frame[2, 2] * pz
    incidence = -(nx * wx + ny * wy + nz * wz)
    if incidence <= 0.0:
        return 0.0
    radius = lamps.lens_radius[lamp]
    intensity = candela(lamps, lamp, lx, ly, pz, distance, part * radius * radius / square)
    return part * intensity * incidence / (square * distance)
