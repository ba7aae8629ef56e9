"""Flat bounds of the light that a lamp sends through a quad: beyond them it is dark."""

from __future__ import annotations

import math

from glint.kernels.geometry.bounding_cone import meets
from glint.kernels.runtime.jit import contracted, folded, kernel

SLACK = 1e-9
"""Bounds are moved out by this, m, so that rounding leaves no light beyond them."""

ROOM = 1.1
"""A sphere is bounded as if larger by this: `outlook` takes a looker's distance d for large, which
moves what he sees of a sphere of radius R, at an angle t to the axis, by up to R**2 tan(t) / d."""


@kernel
def _touching(corners, i, radius, side):
    """A plane through the edge of a quad that begins at corner i, and touches the rim of the lens.

    In the lens frame a plane that touches the rim at R (cos u, sin u, 0) is x cos u + y sin u +
    m z = R. That both ends of the edge lie on it leaves p cos u + q sin u = r, with one solution
    for each side, 1 or -1. Returns (cos u, sin u, m), and whether there is such a plane.
    """
    j = (i + 1) % 4
    ax, ay, az = corners[0, i], corners[1, i], corners[2, i]
    bx, by, bz = corners[0, j], corners[1, j], corners[2, j]
    p, q, r = ax * bz - bx * az, ay * bz - by * az, radius * (bz - az)
    square = p * p + q * q
    root = square - r * r
    if root <= 0.0 or az <= 0.0:
        return 0.0, 0.0, 0.0, False
    root = side * math.sqrt(root)
    cosine, sine = (p * r - q * root) / square, (q * r + p * root) / square
    return cosine, sine, (radius - cosine * ax - sine * ay) / az, True


@kernel
def _touching_sphere(corners, i, radius, side):
    """The same for a sphere: the unit normal n with n . a = n . b = R.

    With f the unit vector from the middle of the sphere to the nearest point of the edge, h away, n
    is f R / h plus or minus the rest, square to both the edge and f.
    """
    j = (i + 1) % 4
    ax, ay, az = corners[0, i], corners[1, i], corners[2, i]
    ex, ey, ez = corners[0, j] - ax, corners[1, j] - ay, corners[2, j] - az
    long = math.sqrt(ex * ex + ey * ey + ez * ez)
    if long == 0.0:
        return 0.0, 0.0, 0.0, False
    ex, ey, ez = ex / long, ey / long, ez / long
    along = ax * ex + ay * ey + az * ez
    fx, fy, fz = ax - along * ex, ay - along * ey, az - along * ez
    away = math.sqrt(fx * fx + fy * fy + fz * fz)
    if away <= radius:
        return 0.0, 0.0, 0.0, False
    fx, fy, fz = fx / away, fy / away, fz / away
    up, rest = radius / away, side * math.sqrt(1.0 - (radius / away) ** 2)
    return (
        up * fx + rest * (ey * fz - ez * fy),
        up * fy + rest * (ez * fx - ex * fz),
        up * fz + rest * (ex * fy - ey * fx),
        True,
    )


@kernel
def _least_height(corners, x, y, z, radius):
    """Of the corners of a quad over a plane."""
    least = 1e300
    for k in range(4):
        least = min(least, x * corners[0, k] + y * corners[1, k] + z * corners[2, k] - radius)
    return least


@kernel
def bounds(corners, radius, sphere, apex, frame, planes, quad):
    """For each edge of a quad the plane through it that has the lens on one side, the quad on the
    other: light that has passed the quad stays on the quad's side.

    corners: (3, 4) float, m, in the lens frame (apex, frame); sphere: as in Lamps. planes: (p, 16)
    float, row `quad` is written: for each edge the unit normal and the offset, m, in the room's
    frame. What sees any of the lens has normal . point + offset >= 0. Where there is no plane these
    are 0, 0, 0, 1.
    """
    if sphere > 0.0:
        radius *= ROOM
    for i in range(4):
        first, last = 4 * i, 4 * i + 3
        for row in range(first, last):
            planes[quad, row] = 0.0
        planes[quad, last] = 1.0
        for side in (-1.0, 1.0):
            if sphere > 0.0:
                x, y, z, found = _touching_sphere(corners, i, radius, side)
            else:
                x, y, z, found = _touching(corners, i, radius, side)
            if not found or _least_height(corners, x, y, z, radius) < -SLACK:
                continue
            long = math.sqrt(x * x + y * y + z * z)
            planes[quad, last] = SLACK - radius / long
            for k in range(3):
                normal = (x * frame[0, k] + y * frame[1, k] + z * frame[2, k]) / long
                planes[quad, first + k] = normal
                planes[quad, last] -= normal * apex[k]


@folded
def _bounds_of(planes, quad):
    """The four bounds of a quad, read before a loop and not in it."""
    p = planes
    return (
        (p[quad, 0], p[quad, 1], p[quad, 2], p[quad, 3]),
        (p[quad, 4], p[quad, 5], p[quad, 6], p[quad, 7]),
        (p[quad, 8], p[quad, 9], p[quad, 10], p[quad, 11]),
        (p[quad, 12], p[quad, 13], p[quad, 14], p[quad, 15]),
    )


@folded
def _within(bounds, x, y, z, more):
    """Whether a point is not farther than `more` beyond any of four bounds."""
    a, b, c, d = bounds
    return (
        (a[0] * x + a[1] * y + a[2] * z + a[3] >= -more)
        & (b[0] * x + b[1] * y + b[2] * z + b[3] >= -more)
        & (c[0] * x + c[1] * y + c[2] * z + c[3] >= -more)
        & (d[0] * x + d[1] * y + d[2] * z + d[3] >= -more)
    )


@contracted
def reached(cones, planes, quad, spheres, more, hit):
    """Mark the spheres that a quad's light may reach, many tested at once.

    cones: (8, p) float, planes: (p, 16) float, see `WindowQuads`; spheres: (4, s) float, m, centre
    and radius, below zero for none; more: to be added to the radii, m; hit: (s,) bool, written
    """
    cx, cy, cz = cones[0, quad], cones[1, quad], cones[2, quad]
    ax, ay, az = cones[3, quad], cones[4, quad], cones[5, quad]
    sine, cosine = cones[6, quad], cones[7, quad]
    flat = _bounds_of(planes, quad)
    x, y, z, radius = spheres[0], spheres[1], spheres[2], spheres[3]
    for s in range(spheres.shape[1]):
        px, py, pz, reach = x[s], y[s], z[s], radius[s] + more
        hit[s] = meets(cx, cy, cz, ax, ay, az, sine, cosine, px, py, pz, reach) & _within(
            flat, px, py, pz, reach
        )


@contracted
def within(planes, quad, points, more, near):
    """Mark the points that lie within the flat bounds of a quad's light, or nearly so.

    planes: (p, 16) float, see `WindowQuads`; points: (3 or more, s) float, m, places in the first
    rows; more: how far beyond is still near, m; near: (s,) bool, written
    """
    flat = _bounds_of(planes, quad)
    x, y, z = points[0], points[1], points[2]
    for s in range(points.shape[1]):
        near[s] = _within(flat, x[s], y[s], z[s], more)
