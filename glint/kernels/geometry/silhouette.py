"""The silhouette of a body that hides, along every line from its middle, all up to its edge."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats, Integers
from glint.kernels.runtime.jit import kernel

RAYS = 2048
"""Directions in which the silhouette is sought besides those of its corners. Where two polygons
cross, the silhouette is cut short by less than the square of a ray's step, 3 mm**2 / 1000 on a ball
of half a metre."""

RADIAL = 1e-9
"""Angle, rad, as which an edge is seen from the middle that counts as running straight outwards:
rounding leaves nothing certain of where a ray meets it."""

ANGLES = np.arange(RAYS) * (2.0 * math.pi / RAYS)
COSINES, SINES = np.cos(ANGLES), np.sin(ANGLES)


@kernel
def _edge_at(flat, sides, edge, cosine, sine):
    """Distance from the middle to the line of an edge, by its number, in a direction."""
    i, a = edge // flat.shape[1], edge % flat.shape[1]
    b = a + 1 if a + 1 < sides[i] else 0
    ax, ay = flat[i, a, 0], flat[i, a, 1]
    dx, dy = flat[i, b, 0] - ax, flat[i, b, 1] - ay
    across = cosine * dy - sine * dx
    return (ax * dy - ay * dx) / across if across != 0.0 else 0.0


@kernel
def _area(flat, sides, i):
    """Twice a polygon's area, below 0 where it runs clockwise."""
    twice = 0.0
    for a in range(sides[i]):
        b = a + 1 if a + 1 < sides[i] else 0
        twice += flat[i, a, 0] * flat[i, b, 1] - flat[i, a, 1] * flat[i, b, 0]
    return twice


@kernel
def _nearer(first, last, u, v, edge, cosines, sines, closest, owner):
    """Note an edge in those of some rays that it is the farthest for so far. Without a branch, so
    that the processor takes many rays at once."""
    for ray in range(first, last):
        # One over the distance, (cos (by - ay) - sin (bx - ax)) / lever, needs no division.
        closeness = cosines[ray] * u - sines[ray] * v
        before, held = closest[ray], owner[ray]
        closest[ray] = closeness if closeness < before else before
        owner[ray] = edge if closeness < before else held


@kernel
def _farthest(flat, sides, turned, least, cosines, sines, closest, owner):
    """The farthest edge in every direction.

    closest: (rays,) float, one over its distance; owner: (rays,) int, its number, written.
    """
    rays = cosines.shape[0]
    step = 2.0 * math.pi / rays
    for i in range(sides.shape[0]):
        reach = 0.0
        for c in range(sides[i]):
            reach = max(reach, flat[i, c, 0] ** 2 + flat[i, c, 1] ** 2)
        if reach <= least * least:
            continue
        around = _area(flat, sides, i)
        for a in range(sides[i]):
            b = a + 1 if a + 1 < sides[i] else 0
            ax, ay, bx, by = flat[i, a, 0], flat[i, a, 1], flat[i, b, 0], flat[i, b, 1]
            lever = ax * by - ay * bx
            # The near side of a convex polygon lies within its far side; and of an edge that runs
            # straight outwards only its end counts, which is a corner of its neighbour as well.
            straight = RADIAL * (ax * ax + ay * ay + bx * bx + by * by)
            if around * lever <= 0.0 or abs(lever) <= straight:
                continue
            first, swept = turned[i, a], turned[i, b] - turned[i, a]
            if swept > math.pi:
                swept -= 2.0 * math.pi
            elif swept < -math.pi:
                swept += 2.0 * math.pi
            if swept < 0.0:
                first, swept = first + swept, -swept
            u, v = (by - ay) / lever, (bx - ax) / lever
            edge = i * flat.shape[1] + a
            ray = math.ceil(first / step)
            end = math.floor((first + swept) / step) + 1
            if ray < 0:
                ray, end = ray + rays, end + rays
            _nearer(ray, min(end, rays), u, v, edge, cosines, sines, closest, owner)
            _nearer(0, end - rays, u, v, edge, cosines, sines, closest, owner)


@kernel
def _outermost(flat, sides, turned, least, rays, far, owner):
    """Corners that no edge known so far lies beyond: (k, 3) float, angle and place."""
    step = 2.0 * math.pi / rays
    found = np.empty((flat.shape[0] * flat.shape[1], 3))
    number = 0
    for i in range(sides.shape[0]):
        for c in range(sides[i]):
            x, y, angle = flat[i, c, 0], flat[i, c, 1], turned[i, c]
            distance = math.sqrt(x * x + y * y)
            if distance <= least:
                continue
            before = int(angle / step) % rays
            after = (before + 1) % rays
            if distance < min(far[before], far[after]) * (1.0 - 1e-3):
                continue
            beyond = False
            cosine, sine = x / distance, y / distance
            for ray in (before, after):
                if owner[ray] < 0:
                    continue
                j, a = owner[ray] // flat.shape[1], owner[ray] % flat.shape[1]
                b = a + 1 if a + 1 < sides[j] else 0
                # The edge's own extent, not its line's, has to lie in this direction.
                left = flat[j, a, 0] * sine - flat[j, a, 1] * cosine
                right = flat[j, b, 0] * sine - flat[j, b, 1] * cosine
                if left * right < 0.0 and _edge_at(
                    flat, sides, owner[ray], cosine, sine
                ) > distance * (1.0 + 1e-9):
                    beyond = True
            if not beyond:
                found[number, 0], found[number, 1], found[number, 2] = angle, x, y
                number += 1
    return found[:number]


@kernel
def _bends(far, owner, cosines, sines):
    """Rays at which the silhouette bends, by angle and place: (k, 3) float. A ray that continues
    the edge of both its neighbours adds nothing to it."""
    rays = far.shape[0]
    found = np.empty((rays, 3))
    number = 0
    for ray in range(rays):
        edge = owner[ray]
        if edge >= 0 and owner[ray - 1] == edge == owner[ray + 1 if ray + 1 < rays else 0]:
            continue
        found[number, 0] = ray * (2.0 * math.pi / rays)
        found[number, 1], found[number, 2] = far[ray] * cosines[ray], far[ray] * sines[ray]
        number += 1
    return found[:number]


@kernel
def _in_order(bends, corners):
    """Two lists of angle and place, the first of them in order, as one: (k, 2) float, places."""
    for n in range(1, corners.shape[0]):
        m = n
        while m > 0 and corners[m - 1, 0] > corners[m, 0]:
            for k in range(3):
                corners[m - 1, k], corners[m, k] = corners[m, k], corners[m - 1, k]
            m -= 1
    ring = np.empty((bends.shape[0] + corners.shape[0], 2))
    b = c = 0
    for n in range(ring.shape[0]):
        if c == corners.shape[0] or (b < bends.shape[0] and bends[b, 0] <= corners[c, 0]):
            ring[n, 0], ring[n, 1] = bends[b, 1], bends[b, 2]
            b += 1
        else:
            ring[n, 0], ring[n, 1] = corners[c, 1], corners[c, 2]
            c += 1
    return ring


@kernel
def _search(flat, sides, inner, cosines, sines):
    """The silhouette about the origin of flat polygons, (n, V, 2) float, m; the rest as below."""
    rays = cosines.shape[0]
    least = inner * (1.0 - 1e-9)
    turned = np.empty((flat.shape[0], flat.shape[1]))
    for i in range(sides.shape[0]):
        for c in range(sides[i]):
            angle = math.atan2(flat[i, c, 1], flat[i, c, 0])
            turned[i, c] = angle if angle >= 0.0 else angle + 2.0 * math.pi
    closest = np.full(rays, 1.0 / least if least > 0.0 else np.inf)
    owner = np.full(rays, -1, np.int64)
    _farthest(flat, sides, turned, least, cosines, sines, closest, owner)
    far = 1.0 / closest
    corners = _outermost(flat, sides, turned, least, rays, far, owner)
    return _in_order(_bends(far, owner, cosines, sines), corners)


@kernel
def _seen(corners, sides, lens, frame, centre, inner, cosines, sines):
    """See `star_silhouette`."""
    flat = np.empty((corners.shape[0], corners.shape[1], 2))
    middle, place = np.empty(3), np.empty(3)
    square = 0.0
    for k in range(3):
        middle[k] = 0.0
        for m in range(3):
            middle[k] += frame[k, m] * (centre[m] - lens[m])
        square += middle[k] ** 2
    x, y = middle[0] / middle[2], middle[1] / middle[2]
    for i in range(flat.shape[0]):
        for c in range(flat.shape[1]):
            for k in range(3):
                place[k] = 0.0
                for m in range(3):
                    place[k] += frame[k, m] * (corners[i, c, m] - lens[m])
            flat[i, c, 0], flat[i, c, 1] = place[0] / place[2] - x, place[1] / place[2] - y
    # A disc that lies in the sphere's image wherever the sphere is seen.
    half = 0.5 * math.asin(min(inner / math.sqrt(square), 1.0))
    ring = _search(flat, sides, 2.0 * math.tan(half), cosines, sines)
    for n in range(ring.shape[0]):
        ring[n, 0] += x
        ring[n, 1] += y
    return ring


def star_silhouette(
    corners: Floats, sides: Integers, lens: Floats, frame: Floats, centre: Floats, inner: float
) -> Floats:
    """The silhouette, on the plane 1 m ahead of a lens, of polygons that together hide all between
    a point and their rim.

    corners: (n, V, 3) float, m, with sides (n,) corners in use; lens: (3,) float, m; frame: (3, 3)
    float, rows, the axes of the plane and straight ahead; centre: (3,) float, m, the point; inner:
    m, the radius of a sphere about it that is hidden for certain: polygons inside it are passed
    over. Returns (k, 2) float, anticlockwise. Exact at corners that stick out; see RAYS for the
    rest.
    """
    return _seen(corners, sides, lens, frame, centre, inner, COSINES, SINES)


@kernel
def lifted(ring, lens, frame, axis, depth):
    """Edges in the room of a ring on the plane 1 m ahead of a lens, moved to another plane.

    ring: (k, 2) float; lens, frame: as above; axis: (3,) float, unit normal of the other plane, and
    depth, m, how far along it that is from the lens. Returns (k, 2, 3) float, m.
    """
    edges = np.empty((ring.shape[0], 2, 3))
    ahead = np.empty(3)
    for n in range(ring.shape[0]):
        along = 0.0
        for k in range(3):
            ahead[k] = ring[n, 0] * frame[0, k] + ring[n, 1] * frame[1, k] + frame[2, k]
            along += ahead[k] * axis[k]
        for k in range(3):
            edges[n, 0, k] = lens[k] + ahead[k] * depth / along
    for n in range(ring.shape[0]):
        after = n + 1 if n + 1 < ring.shape[0] else 0
        for k in range(3):
            edges[n, 1, k] = edges[after, 0, k]
    return edges
