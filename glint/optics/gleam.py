"""What the eye gets straight from openings that shine: for the veil that they lay over the picture.

Each opening is cut into triangles that look small; of each its middle says whether it is hidden.
"""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import Floats
from glint.optics.bodies import (
    DEEPEST,
    NOTHING,
    Bodies,
    nearest_polygon,
    passes_inside,
    turned_normal,
)
from glint.optics.compile import kernel

MOST_PARTS = 6
"""Into so many parts each side of a triangle is cut at most."""


@kernel
def _towards(bodies, turn, at, body, polygon, x, y, z, area, stack, row):
    """Write what a small part of an opening, in the body's frame, sends to the eye: whether any."""
    t = turn[body]
    dx = t[0] * x + t[1] * y + t[2] * z + t[9] - at[0]
    dy = t[3] * x + t[4] * y + t[5] * z + t[10] - at[1]
    dz = t[6] * x + t[7] * y + t[8] * z + t[11] - at[2]
    far = math.sqrt(dx * dx + dy * dy + dz * dz)
    dx, dy, dz = dx / far, dy / far, dz / far
    nx, ny, nz = turned_normal(bodies, turn, body, polygon)
    fall = dx * nx + dy * ny + dz * nz
    if fall >= 0.0:
        return False
    _, met, path = nearest_polygon(
        bodies, turn, at[0], at[1], at[2], dx, dy, dz, far * (1.0 + 1e-6), NOTHING, stack
    )
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
def _gleams(bodies, turn, at, openings, size, found):
    """See `gleams`; found: (n, 6) float, written as far as there is room. Returns how many."""
    stack = np.empty(DEEPEST, np.int64)
    used = 0
    for o in range(openings.shape[0]):
        body, p = openings[o, 0], openings[o, 1]
        count, c = bodies.sides[p], bodies.corners[p]
        mx = my = mz = 0.0
        for i in range(count):
            mx, my, mz = mx + c[i, 0] / count, my + c[i, 1] / count, mz + c[i, 2] / count
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            ax, ay, az = c[i, 0] - mx, c[i, 1] - my, c[i, 2] - mz
            bx, by, bz = c[j, 0] - mx, c[j, 1] - my, c[j, 2] - mz
            gx, gy, gz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
            area = 0.5 * math.sqrt(gx * gx + gy * gy + gz * gz)
            t = turn[body]
            away = math.sqrt((t[9] - at[0]) ** 2 + (t[10] - at[1]) ** 2 + (t[11] - at[2]) ** 2)
            near = size * max(away - bodies.radius[body], 0.1 * bodies.radius[body])
            parts = min(max(math.ceil(math.sqrt(2.0 * area) / near), 1), MOST_PARTS)
            # A triangle cut evenly: rows of upright ones, and of those between, upside down.
            for a in range(parts):
                for b in range(2 * (parts - a) - 1):
                    u, v = b // 2 + 1.0 / 3.0, a + 1.0 / 3.0
                    if b % 2 == 1:
                        u, v = u + 1.0 / 3.0, v + 1.0 / 3.0
                    u, v = u / parts, v / parts
                    x, y, z = mx + u * ax + v * bx, my + u * ay + v * by, mz + u * az + v * bz
                    if used == found.shape[0]:
                        return used
                    if _towards(
                        bodies, turn, at, body, p, x, y, z, area / parts**2, stack, found[used]
                    ):
                        used += 1
    return used


def gleams(bodies: Bodies, turn: Floats, at: Floats, openings: np.ndarray, size: float) -> Floats:
    """What an eye gets straight from openings that shine, part by part: (n, 6) float, the direction
    towards it and the illuminance across it, lx, linear RGB.

    openings: (o, 2) int, body and polygon of each. size: rad, about how large a part may look.
    """
    found = np.empty((len(openings) * bodies.corners.shape[1] * MOST_PARTS**2, 6))
    return found[: _gleams(bodies, turn, at, openings, size, found)]


def openings_of(bodies: Bodies) -> np.ndarray:
    """Body and polygon of every opening, (o, 2) int."""
    polygon = np.flatnonzero(bodies.depth >= 0.0)
    return np.column_stack([bodies.body[polygon], polygon]).astype(np.int64)
