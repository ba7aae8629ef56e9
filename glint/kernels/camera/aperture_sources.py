"""What the eye gets straight from openings that shine: for the veil that they lay over the picture.

Each opening is cut into triangles that look short; of each its middle says whether it is hidden.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.geometry.bvh import (
    DEEPEST,
    NOTHING,
    Bodies,
    nearest_polygon,
    passes_inside,
    turned_normal,
)
from glint.kernels.runtime.jit import kernel

MOST_CUTS = 6
"""A triangle is halved so many times at most."""


@kernel
def _towards(bodies, turn, at, body, polygon, x, y, z, area, stack, row):
    """Write what a small part of an opening, in the body's frame, sends to the eye: whether any."""
    t = turn[body]
    dx = t[0] * x + t[1] * y + t[2] * z + t[9] - at[0]
    dy = t[3] * x + t[4] * y + t[5] * z + t[10] - at[1]
    dz = t[6] * x + t[7] * y + t[8] * z + t[11] - at[2]
    far = math.sqrt(dx * dx + dy * dy + dz * dz)
    dx, dy, dz = dx / far, dy / far, dz / far
    nx, ny, nz = turned_normal(bodies.normals, turn, body, polygon)
    fall = dx * nx + dy * ny + dz * nz
    if fall >= 0.0:
        return False
    reach = far * (1.0 + 1e-6)
    _, met, path, _ = nearest_polygon(
        bodies.solid, turn, at[0], at[1], at[2], dx, dy, dz, reach,
        NOTHING, NOTHING, 0.0, 0.0, stack,
    )  # fmt: skip
    if met != polygon:
        return False
    x, y, z = at[0] + path * dx, at[1] + path * dy, at[2] + path * dz
    if not passes_inside(bodies, turn, body, polygon, x, y, z, dx, dy, dz, fall):
        return False
    row[0], row[1], row[2] = dx, dy, dz
    for k in range(3):
        row[3 + k] = -fall * area / (far * far) * bodies.luminance[body, k]
    return True


@kernel
def _halve(triangles, k):
    """Cut a triangle, a row of nine numbers, across the middle of its longest side; the new half
    takes the next row."""
    longest, side = -1.0, 0
    for i in range(3):
        j = (i + 1) % 3
        square = 0.0
        for m in range(3):
            square += (triangles[k, 3 * j + m] - triangles[k, 3 * i + m]) ** 2
        if square > longest:
            longest, side = square, i
    other = (side + 1) % 3
    for m in range(9):
        triangles[k + 1, m] = triangles[k, m]
    for m in range(3):
        middle = 0.5 * (triangles[k, 3 * side + m] + triangles[k, 3 * other + m])
        triangles[k, 3 * other + m] = middle
        triangles[k + 1, 3 * side + m] = middle


@kernel
def _extent(c):
    """Longest side of a triangle, a row of nine numbers, and its area."""
    longest = 0.0
    for i in range(3):
        j = (i + 1) % 3
        x, y, z = c[3 * j] - c[3 * i], c[3 * j + 1] - c[3 * i + 1], c[3 * j + 2] - c[3 * i + 2]
        longest = max(longest, x * x + y * y + z * z)
    ax, ay, az = c[3] - c[0], c[4] - c[1], c[5] - c[2]
    bx, by, bz = c[6] - c[0], c[7] - c[1], c[8] - c[2]
    gx, gy, gz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
    return math.sqrt(longest), 0.5 * math.sqrt(gx * gx + gy * gy + gz * gz)


@kernel
def _aperture_sources(bodies, turn, at, openings, size, found):
    """See `aperture_sources`; found: (n, 6) float, written as far as it goes. Returns how many."""
    stack = np.empty(DEEPEST, np.int64)
    triangles, cuts = np.empty((MOST_CUTS + 2, 9)), np.empty(MOST_CUTS + 2, np.int64)
    used = 0
    for o in range(openings.shape[0]):
        body, p = openings[o, 0], openings[o, 1]
        count, c, t = bodies.sides[p], bodies.corners[p], turn[body]
        away = math.sqrt((t[9] - at[0]) ** 2 + (t[10] - at[1]) ** 2 + (t[11] - at[2]) ** 2)
        small = size * max(away - bodies.radius[body], 0.1 * bodies.radius[body])
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            for m in range(3):
                middle = 0.0
                for n in range(count):
                    middle += c[n, m] / count
                triangles[0, m] = middle
                triangles[0, 3 + m], triangles[0, 6 + m] = c[i, m], c[j, m]
            cuts[0] = 0
            k = 0
            while k >= 0:
                longest, area = _extent(triangles[k])
                if longest > small and cuts[k] < MOST_CUTS:
                    _halve(triangles, k)
                    cuts[k] += 1
                    cuts[k + 1] = cuts[k]
                    k += 1
                    continue
                row = triangles[k]
                x, y, z = (
                    row[0] + row[3] + row[6],
                    row[1] + row[4] + row[7],
                    row[2] + row[5] + row[8],
                )
                if used < found.shape[0] and _towards(
                    bodies, turn, at, body, p, x / 3, y / 3, z / 3, area, stack, found[used]
                ):
                    used += 1
                k -= 1
    return used


def aperture_sources(
    bodies: Bodies, turn: Floats, at: Floats, openings: np.ndarray, size: float
) -> Floats:
    """What an eye gets straight from openings that shine, part by part: (n, 6) float, the direction
    towards it and the illuminance across it, lx, linear RGB.

    openings: (o, 2) int, body and polygon of each. size: rad, how long a part may look at most,
    but for the largest openings.
    """
    triangles = int(bodies.sides[openings[:, 1]].sum())
    found = np.empty((triangles * 2**MOST_CUTS, 6))
    return found[: _aperture_sources(bodies, turn, at, openings, size, found)]


def openings_of(bodies: Bodies) -> np.ndarray:
    """Body and polygon of every opening, (o, 2) int."""
    polygon = np.flatnonzero(bodies.depth >= 0.0)
    return np.column_stack([bodies.body[polygon], polygon]).astype(np.int64)
