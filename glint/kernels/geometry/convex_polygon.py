"""Convex polygons in space: cut by planes, cut by shadows, seen from a point."""

from __future__ import annotations

from glint.kernels.arrays import MOST_CORNERS
from glint.kernels.runtime.jit import kernel

ON_PLANE = 1e-12
"""Distance below which a corner lies on a cutting plane, m."""

SLIVER = 1e-13
"""Area below which a piece is nothing, m**2 (a ten-millionth of a square millimetre)."""


@kernel
def drop_smallest_corner(polygon, count):
    """Remove, in place, the corner whose loss changes the area least; returns the new count."""
    best, least = 0, 1e300
    for i in range(count):
        p, q = (i + count - 1) % count, (i + 1) % count
        ax, ay, az = (
            polygon[i, 0] - polygon[p, 0],
            polygon[i, 1] - polygon[p, 1],
            polygon[i, 2] - polygon[p, 2],
        )
        bx, by, bz = (
            polygon[q, 0] - polygon[p, 0],
            polygon[q, 1] - polygon[p, 1],
            polygon[q, 2] - polygon[p, 2],
        )
        cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        lost = cx * cx + cy * cy + cz * cz
        if lost < least:
            best, least = i, lost
    for i in range(best, count - 1):
        for k in range(3):
            polygon[i, k] = polygon[i + 1, k]
    return count - 1


@kernel
def keep_side(polygon, count, nx, ny, nz, offset, sign, kept):
    """Cut a convex polygon by a plane and keep one side (Sutherland & Hodgman 1974).

    polygon, kept: (MOST_CORNERS, 3) float; the plane is n . x = offset; the side with
    sign * (n . x - offset) >= 0 is kept. Returns the corners kept, 0 if none.
    """
    made = 0
    last = count - 1
    before = sign * (nx * polygon[last, 0] + ny * polygon[last, 1] + nz * polygon[last, 2] - offset)
    for i in range(count):
        now = sign * (nx * polygon[i, 0] + ny * polygon[i, 1] + nz * polygon[i, 2] - offset)
        if (before > ON_PLANE and now < -ON_PLANE) or (before < -ON_PLANE and now > ON_PLANE):
            t = before / (before - now)
            for k in range(3):
                kept[made, k] = polygon[last, k] + t * (polygon[i, k] - polygon[last, k])
            made += 1
            if made == MOST_CORNERS:
                made = drop_smallest_corner(kept, made)
        if now >= -ON_PLANE:
            for k in range(3):
                kept[made, k] = polygon[i, k]
            made += 1
            if made == MOST_CORNERS:
                made = drop_smallest_corner(kept, made)
        last = i
        before = now
    return made if made >= 3 else 0


@kernel
def area(polygon, count):
    """Area of a flat polygon, m**2."""
    x = y = z = 0.0
    for i in range(1, count - 1):
        ax, ay, az = (
            polygon[i, 0] - polygon[0, 0],
            polygon[i, 1] - polygon[0, 1],
            polygon[i, 2] - polygon[0, 2],
        )
        bx, by, bz = (
            polygon[i + 1, 0] - polygon[0, 0],
            polygon[i + 1, 1] - polygon[0, 1],
            polygon[i + 1, 2] - polygon[0, 2],
        )
        x += ay * bz - az * by
        y += az * bx - ax * bz
        z += ax * by - ay * bx
    return 0.5 * (x * x + y * y + z * z) ** 0.5


@kernel
def copy(source, count, target):
    for i in range(count):
        for k in range(3):
            target[i, k] = source[i, k]


@kernel
def cone_planes(apex, polygon, count, planes):
    """Planes of the cone from a point through a convex polygon, normals outward.

    planes: (MOST_CORNERS, 3) float, each through the apex: outside where n . (x - apex) > 0.
    Returns False for a polygon seen edge-on, which has no cone.
    """
    mx = my = mz = 0.0
    for i in range(count):
        mx += polygon[i, 0] - apex[0]
        my += polygon[i, 1] - apex[1]
        mz += polygon[i, 2] - apex[2]
    away = 0.0
    for i in range(count):
        j = (i + 1) % count
        ax, ay, az = polygon[i, 0] - apex[0], polygon[i, 1] - apex[1], polygon[i, 2] - apex[2]
        bx, by, bz = polygon[j, 0] - apex[0], polygon[j, 1] - apex[1], polygon[j, 2] - apex[2]
        nx, ny, nz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        length = (nx * nx + ny * ny + nz * nz) ** 0.5
        if length > 0.0:
            nx, ny, nz = nx / length, ny / length, nz / length
        planes[i, 0], planes[i, 1], planes[i, 2] = nx, ny, nz
        away += nx * mx + ny * my + nz * mz
    size = (mx * mx + my * my + mz * mz) ** 0.5
    if abs(away) <= 1e-9 * size:
        return False
    if away > 0.0:
        for i in range(count):
            for k in range(3):
                planes[i, k] = -planes[i, k]
    return True


@kernel
def misses_cone(apex, planes, plane_count, polygon, count):
    """Whether all corners of a polygon lie beyond one plane of a cone; see `cone_planes`."""
    for p in range(plane_count):
        nx, ny, nz = planes[p, 0], planes[p, 1], planes[p, 2]
        offset = nx * apex[0] + ny * apex[1] + nz * apex[2]
        beyond = True
        for i in range(count):
            height = nx * polygon[i, 0] + ny * polygon[i, 1] + nz * polygon[i, 2] - offset
            if height < 0.0:
                beyond = False
                break
        if beyond:
            return True
    return False


@kernel
def _sides_taken(polygon, count, nx, ny, nz, offset):
    """How many corners lie above a plane n . x = offset, and how many below; the rest lie on it."""
    above = below = 0
    for i in range(count):
        height = nx * polygon[i, 0] + ny * polygon[i, 1] + nz * polygon[i, 2] - offset
        above += height > ON_PLANE
        below += height < -ON_PLANE
    return above, below


@kernel
def inside_cone(piece, count, apex, planes, plane_count, result, spare):
    """The part of a convex polygon inside a cone; returns its corners (0 if none).

    result, spare: (MOST_CORNERS, 3) float, both written.
    """
    copy(piece, count, result)
    left = count
    for p in range(plane_count):
        nx, ny, nz = planes[p, 0], planes[p, 1], planes[p, 2]
        offset = nx * apex[0] + ny * apex[1] + nz * apex[2]
        # Most planes cut nothing.
        above, _ = _sides_taken(result, left, nx, ny, nz, offset)
        if above == left:
            return 0
        if above == 0:
            continue
        left = keep_side(result, left, nx, ny, nz, offset, -1.0, spare)
        if left == 0:
            return 0
        copy(spare, left, result)
    return left if area(result, left) > SLIVER else 0


@kernel
def cut_cone_out(piece, count, apex, planes, plane_count, pieces, counts, used, spare):
    """Append to `pieces` the convex parts of a polygon that lie outside a cone.

    piece: (MOST_CORNERS, 3) float, the part inside is left there; pieces: (m, MOST_CORNERS, 3)
    float; counts: (m,) int. Returns the pieces in use, or -1 where `pieces` is too short, and the
    corners of the part inside. If there is none, nothing is appended.
    """
    left, begun = count, used
    for p in range(plane_count):
        nx, ny, nz = planes[p, 0], planes[p, 1], planes[p, 2]
        offset = nx * apex[0] + ny * apex[1] + nz * apex[2]
        above, below = _sides_taken(piece, left, nx, ny, nz, offset)
        if above == 0:
            continue
        if below == 0:
            return begun, 0
        if used == pieces.shape[0]:
            return -1, left
        outside = keep_side(piece, left, nx, ny, nz, offset, 1.0, pieces[used])
        if outside > 0 and area(pieces[used], outside) > SLIVER:
            counts[used] = outside
            used += 1
        left = keep_side(piece, left, nx, ny, nz, offset, -1.0, spare)
        if left == 0:
            return begun, 0
        copy(spare, left, piece)
    if area(piece, left) <= SLIVER:
        return begun, 0
    return used, left
