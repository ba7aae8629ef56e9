"""Beams as shafts of light across rays: how much of a ray lies in each, in closed form.

A few points stand for all of a lens. What one of them lights through a window is a pyramid, and
a ray's part in it lies between two cuts of its planes: exact along the ray, whatever the beam's
profile across. The eye stays where it is, so of each plane a ray needs one product.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.geometry.bounding_cone import bounding_cone
from glint.kernels.runtime.jit import kernel

POINTS = 7
"""Points of a lens that stand for all of it."""


@kernel
def stretch(k, first, second, far):
    """The ends of stretch 0, 1 or 2 of those that two cuts make of 0 to far."""
    return (
        0.0 if k == 0 else (first if k == 1 else second),
        first if k == 0 else (second if k == 1 else far),
    )


@kernel
def in_cone(cones, b, x, y, z, dx, dy, dz, far):
    """Where a ray enters and leaves a beam's cone: two cuts between 0 and far, m, in order, after
    which of the three stretches between 0, the cuts and far lie inside, as bits 1, 2 and 4.

    cones: (b, 8) float, see `cone`.
    """
    if cones[b, 6] > 1.0:
        return 4, 0.0, 0.0
    ax, ay, az = cones[b, 3], cones[b, 4], cones[b, 5]
    x, y, z = x - cones[b, 0], y - cones[b, 1], z - cones[b, 2]
    square = cones[b, 7] * cones[b, 7]
    along = dx * ax + dy * ay + dz * az
    start = x * ax + y * ay + z * az
    a_ = along * along - square
    b_ = along * start - square * (x * dx + y * dy + z * dz)
    c_ = start * start - square * (x * x + y * y + z * z)
    under = b_ * b_ - a_ * c_
    if under <= 0.0 and a_ < 0.0:
        return 0, 0.0, 0.0  # most rays: past the cone, and not along it
    first = second = 0.0
    if under > 0.0 and a_ != 0.0:
        root = math.sqrt(under)
        first, second = (-b_ - root) / a_, (-b_ + root) / a_
        first, second = min(first, second), max(first, second)
        first, second = min(max(first, 0.0), far), min(max(second, 0.0), far)
    bits = 0
    for k in range(3):
        begin, end = stretch(k, first, second, far)
        if end > begin:
            t = 0.5 * (begin + end)
            if start + t * along > 0.0 and a_ * t * t + 2.0 * b_ * t + c_ >= 0.0:
                bits += 1 << k
    return bits, first, second


ROWS = 10
"""Rows of `cones_from`: axis (3), the eye from the tip (3), the square of the half angle's cosine,
and two of `in_cone`'s products that need no ray; 1 for a cone that holds everything, else 0."""


@kernel
def cones_from(cones, listed, first, last, x, y, z, near):
    """What `crossed` asks of the cones that are listed from first to last, seen from the eye.

    near: (ROWS, last - first or more) float, written.
    """
    for n in range(last - first):
        b = listed[first + n]
        ax, ay, az = cones[b, 3], cones[b, 4], cones[b, 5]
        u, v, w = x - cones[b, 0], y - cones[b, 1], z - cones[b, 2]
        square, start = cones[b, 7] * cones[b, 7], u * ax + v * ay + w * az
        near[0, n], near[1, n], near[2, n] = ax, ay, az
        near[3, n], near[4, n], near[5, n] = u, v, w
        near[6, n], near[7, n] = square, start
        near[8, n] = start * start - square * (u * u + v * v + w * w)
        near[9, n] = 1.0 if cones[b, 6] > 1.0 else 0.0


@kernel
def crossed(near, number, dx, dy, dz, hit, found):
    """Which of the first `number` cones of `cones_from` a ray may cross: most of a cell's it passes
    by. As `in_cone` decides, but of many at once.

    hit: (number or more,) bool, scratch. found: the same of int, written; returns how many.
    """
    for n in range(number):
        along = dx * near[0, n] + dy * near[1, n] + dz * near[2, n]
        square = near[6, n]
        a_ = along * along - square
        b_ = along * near[7, n] - square * (near[3, n] * dx + near[4, n] * dy + near[5, n] * dz)
        under = b_ * b_ - a_ * near[8, n]
        hit[n] = (under > 0.0) | (a_ >= 0.0) | (near[9, n] > 0.0)
    some = 0
    for n in range(number):
        found[some] = n
        some += hit[n]
    return some


def lens_points() -> Floats:
    """Points of a lens of radius one that stand for all of it: (3, POINTS) float, place and weight.

    The middle and six around it, right for every polynomial of degree five over the disc
    (Abramowitz & Stegun 1964, 25.4.61, from memory; a test holds it).
    """
    turns = np.arange(6) * math.pi / 3.0
    points = np.zeros((3, POINTS))
    points[:2, 1:] = math.sqrt(2.0 / 3.0) * np.array([np.cos(turns), np.sin(turns)])
    points[2, 0], points[2, 1:] = 0.25, 0.125
    return points


@kernel
def shafts_of(beams, lamps, points, eye):
    """What a ray from the eye must know of each beam: cones about them (b, 8) float, see `cone`,
    and the planes that bound what each point of the lens lights through the window.

    points: (3, POINTS) float, see `lens_points`. Returns cones and (b, POINTS, sides + 1, 4) float:
    a plane for each side of the window and the window's own; normals inward, then how far the eye
    is inside, m, by the length of the normals.
    """
    number = beams.lamp.shape[0]
    most = 3
    for b in range(number):
        most = max(most, beams.sides[b])
    cones, shafts = np.zeros((number, 8)), np.zeros((number, POINTS, most + 1, 4))
    lens = np.empty(3)
    for b in range(number):
        radius, count, window = lamps.lens_radius[beams.lamp[b]], beams.sides[b], beams.window[b]
        bounding_cone(beams.apex[b], radius, window, count, cones[b])
        # Twice the window's area, along its normal, away from the lens.
        nx = ny = nz = 0.0
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            ax, ay, az = window[i] - window[0]
            bx, by, bz = window[j] - window[0]
            nx, ny, nz = nx + ay * bz - az * by, ny + az * bx - ax * bz, nz + ax * by - ay * bx
        ax, ay, az = window[0] - beams.apex[b]
        sense = 1.0 if nx * ax + ny * ay + nz * az > 0.0 else -1.0
        for m in range(POINTS):
            for k in range(3):
                lens[k] = beams.apex[b, k]
                for r in range(2):
                    lens[k] += radius * points[r, m] * beams.frame[b, r, k]
            for i in range(count + 1):
                j = i + 1 if i + 1 < count else 0
                out = shafts[b, m, i]
                if i == count:
                    out[0], out[1], out[2] = sense * nx, sense * ny, sense * nz
                    ax, ay, az = eye - window[0]
                else:
                    ax, ay, az = window[i] - lens
                    bx, by, bz = window[j] - lens
                    out[0] = sense * (ay * bz - az * by)
                    out[1] = sense * (az * bx - ax * bz)
                    out[2] = sense * (ax * by - ay * bx)
                    ax, ay, az = eye - lens
                out[3] = out[0] * ax + out[1] * ay + out[2] * az
    return cones, shafts


@kernel
def _cut(shafts, b, m, e, dx, dy, dz, begin, end):
    """The part of a stretch of a ray that lies inside a plane of a shaft."""
    rate = dx * shafts[b, m, e, 0] + dy * shafts[b, m, e, 1] + dz * shafts[b, m, e, 2]
    cut = -shafts[b, m, e, 3] / rate
    # Without a branch: which way it goes, nobody could foretell.
    return (
        cut if (rate >= 0.0) & (cut > begin) else begin,
        cut if (rate < 0.0) & (cut < end) else end,
    )


@kernel
def seen_along(shafts, points, b, count, dx, dy, dz, near, far):
    """Metres of a ray from which points of a beam's lens are seen, the points' mean.

    shafts, points: see `shafts_of`; count: planes in use.
    Returns the mean, where its middle lies on the ray, m, and the centroid of the points weighted
    so, in radii of the lens.
    """
    # The window's own plane is the same for all points.
    near, far = _cut(shafts, b, 0, count - 1, dx, dy, dz, near, far)
    total = middle = u = v = 0.0
    for m in range(POINTS):
        begin, end = near, far
        for e in range(count - 1):
            begin, end = _cut(shafts, b, m, e, dx, dy, dz, begin, end)
        if begin < end:
            length = points[2, m] * (end - begin)
            total += length
            middle += length * (begin + end)
            u, v = u + length * points[0, m], v + length * points[1, m]
    if total <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    return total, 0.5 * middle / total, u / total, v / total
