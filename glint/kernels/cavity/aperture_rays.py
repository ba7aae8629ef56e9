"""What becomes of the glow of openings on its way out, by rays: it leaves for the room, falls into
mirrors, or on panels, backs and rims of tiles."""

from __future__ import annotations

import numpy as np

from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.uncounted import uncounted


@kernel
def _hit(polygons, j, origin, way):
    """Distance along a ray to a polygon, or infinity."""
    slope = height = 0.0
    for k in range(3):
        slope += polygons.normals[j, k] * way[k]
        height += polygons.normals[j, k] * (polygons.corners[j, 0, k] - origin[k])
    if slope == 0.0 or height / slope <= 1e-9:
        return np.inf
    t = height / slope
    sides = polygons.sides[j]
    x, y, z = origin[0] + t * way[0], origin[1] + t * way[1], origin[2] + t * way[2]
    for c in range(sides):
        d = (c + 1) % sides
        a, b = polygons.corners[j, c], polygons.corners[j, d]
        ex, ey, ez = b[0] - a[0], b[1] - a[1], b[2] - a[2]
        px, py, pz = x - a[0], y - a[1], z - a[2]
        turn = (
            polygons.normals[j, 0] * (ey * pz - ez * py)
            + polygons.normals[j, 1] * (ez * px - ex * pz)
            + polygons.normals[j, 2] * (ex * py - ey * px)
        )
        if turn < 0.0:
            return np.inf
    return t


@kernel
def _triangles(rim, sides, normal, middle, frames, areas):
    """The triangles of a rim about its middle.

    middle: (3,) float, m, frames: (sides, 3, 3) float, rows: two axes in the triangle and its
    normal, areas: (sides,) float, m**2, twice that of each triangle: all written. Returns the sum
    of the areas, and what of it faces along the normal.
    """
    middle[:] = 0.0
    for c in range(sides):
        for k in range(3):
            middle[k] += rim[c, k] / sides
    total = along = 0.0
    for c in range(sides):
        d = (c + 1) % sides
        across = np.cross(rim[c] - middle, rim[d] - middle)
        areas[c] = np.sqrt((across * across).sum())
        total += areas[c]
        along += (across * normal).sum()
        frames[c, 2] = across / areas[c] if areas[c] > 0.0 else normal
        axis = np.zeros(3)
        axis[np.argmin(np.abs(frames[c, 2]))] = 1.0
        first = np.cross(frames[c, 2], axis)
        frames[c, 0] = first / np.sqrt((first * first).sum())
        frames[c, 1] = np.cross(frames[c, 2], frames[c, 0])
    return total, along


@kernel
def thrown(begin, end, given):
    """Follow rays from the openings begin to end.

    Written: fates (o, 3) float, shares escaped, absorbed, caught; and what left by way of mirrors,
    mirrored (o, rays, 7) float: start, direction and share; both zero before. Rays are even over an
    opening and over the projected hemisphere, by one additive sequence in four dimensions for all
    openings (Roberts 2018, from memory).
    """
    polygons, rims, occluders, solid, bounces, rays, fates, mirrored = uncounted(given)
    root = 1.0
    for _ in range(60):
        root = (1.0 + root) ** 0.2
    for o in range(begin, end):
        i = solid + o
        sides = polygons.sides[i]
        middle, frames, areas = np.empty(3), np.empty((sides, 3, 3)), np.empty(sides)
        normal = polygons.normals[i]
        total, along = _triangles(rims[o], sides, normal, middle, frames, areas)
        origin, way = np.empty(3), np.empty(3)
        for r in range(rays):
            s0 = (0.5 + (o * rays + r + 1) / root) % 1.0
            s1 = (0.5 + (o * rays + r + 1) / root**2) % 1.0
            s2 = (0.5 + (o * rays + r + 1) / root**3) % 1.0
            s3 = (0.5 + (o * rays + r + 1) / root**4) % 1.0
            at, c = s0 * total, 0
            while c < sides - 1 and at > areas[c]:
                at -= areas[c]
                c += 1
            u, v = min(at / areas[c], 1.0), s1
            # The square root makes points even over the triangle.
            w = np.sqrt(u)
            b1, b2 = w * (1.0 - v), w * v
            sine, phi = np.sqrt(s2), 2.0 * np.pi * s3
            x, y, z = sine * np.cos(phi), sine * np.sin(phi), np.sqrt(1.0 - s2)
            share, here, met, rise = total / along / rays, i, 0, 0.0
            for k in range(3):
                origin[k] = (
                    middle[k]
                    + b1 * (rims[o, c, k] - middle[k])
                    + b2 * (rims[o, (c + 1) % sides, k] - middle[k])
                )
                way[k] = x * frames[c, 0, k] + y * frames[c, 1, k] + z * frames[c, 2, k]
                rise += way[k] * normal[k]
            if rise < 0.0:
                # A bent ring is not seen from behind. From before, light on this line goes in
                # here again that has come out elsewhere in the ring: so much less is left.
                way *= -1.0
                share = -share
            # A hole is a short tunnel: what does not come out at its other end is caught.
            if (
                np.abs(rims[o] - polygons.corners[i]).max() > 0.0
                and not _hit(polygons, i, origin, way) < np.inf
            ):
                fates[o, 2] += share
                continue
            while True:
                nearest, hit = np.inf, -1
                for n in range(occluders.start[here], occluders.start[here + 1]):
                    j = occluders.index[n]
                    t = _hit(polygons, j, origin, way)
                    if t < nearest:
                        nearest, hit = t, j
                if hit < 0:
                    fates[o, 0] += share
                    if met > 0:
                        mirrored[o, r, :3] = origin
                        mirrored[o, r, 3:6] = way
                        mirrored[o, r, 6] = share
                    break
                slope = 0.0
                for k in range(3):
                    slope += polygons.normals[hit, k] * way[k]
                if not polygons.mirror[hit] or slope >= 0.0 or met == bounces:
                    fates[o, 2] += share
                    break
                fates[o, 1] += share * (1.0 - polygons.reflectance[hit])
                share *= polygons.reflectance[hit]
                met += 1
                for k in range(3):
                    origin[k] += nearest * way[k]
                    way[k] -= 2.0 * slope * polygons.normals[hit, k]
                here = hit
