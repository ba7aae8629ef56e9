"""The outline of a body that hides, along every line from its middle outwards, all to its edge."""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import Floats, Integers
from glint.optics.compile import kernel

RAYS = 2048
"""Directions in which the outline is sought besides those of its corners. Where two polygons
cross, the outline is cut short by less than the square of a ray's step, 3 mm**2 / 1000 on a ball
of half a metre."""

ANGLES = np.arange(RAYS) * (2.0 * math.pi / RAYS)
COSINES, SINES = np.cos(ANGLES), np.sin(ANGLES)


@kernel
def _edge_at(flat, sides, edge, cosine, sine):
    """Distance from the middle to the line of an edge in a direction; edge: polygon, corner."""
    i, a = edge[0], edge[1]
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
def _farthest(flat, sides, turned, least, cosines, sines, closest, owner):
    """The farthest edge in every direction.

    closest: (rays,) float, one over its distance; owner: (rays, 2) int, written.
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
            # The near side of a convex polygon lies within its far side.
            if around * lever <= 0.0:
                continue
            first, swept = turned[i, a], turned[i, b] - turned[i, a]
            if swept > math.pi:
                swept -= 2.0 * math.pi
            elif swept < -math.pi:
                swept += 2.0 * math.pi
            if swept < 0.0:
                first, swept = first + swept, -swept
            # One over the distance, (cos (by - ay) - sin (bx - ax)) / lever, needs no division.
            u, v = (by - ay) / lever, (bx - ax) / lever
            ray = math.ceil(first / step)
            number = math.floor((first + swept) / step) + 1 - ray
            if ray < 0:
                ray += rays
            for _ in range(number):
                if ray >= rays:
                    ray -= rays
                closeness = cosines[ray] * u - sines[ray] * v
                if closeness < closest[ray]:
                    closest[ray] = closeness
                    owner[ray, 0], owner[ray, 1] = i, a
                ray += 1


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
                j, a = owner[ray]
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
    """Rays at which the outline bends, by angle and place: (k, 3) float. A ray that continues the
    edge of both its neighbours adds nothing to it."""
    rays = far.shape[0]
    found = np.empty((rays, 3))
    number = 0
    for ray in range(rays):
        polygon, edge = owner[ray]
        left, right = owner[ray - 1], owner[ray + 1 if ray + 1 < rays else 0]
        if polygon >= 0 and left[0] == right[0] == polygon and left[1] == right[1] == edge:
            continue
        found[number, 0] = ray * (2.0 * math.pi / rays)
        found[number, 1], found[number, 2] = far[ray] * cosines[ray], far[ray] * sines[ray]
        number += 1
    return found[:number]


@kernel
def _search(flat, sides, least, cosines, sines):
    """Bends and corners of the outline, by angle and place: (k, 3) float each."""
    rays = cosines.shape[0]
    turned = np.empty((flat.shape[0], flat.shape[1]))
    for i in range(sides.shape[0]):
        for c in range(sides[i]):
            angle = math.atan2(flat[i, c, 1], flat[i, c, 0])
            turned[i, c] = angle if angle >= 0.0 else angle + 2.0 * math.pi
    closest = np.full(rays, 1.0 / least if least > 0.0 else np.inf)
    owner = np.full((rays, 2), -1, np.int64)
    _farthest(flat, sides, turned, least, cosines, sines, closest, owner)
    far = 1.0 / closest
    corners = _outermost(flat, sides, turned, least, rays, far, owner)
    return _bends(far, owner, cosines, sines), corners


def star_outline(flat: Floats, sides: Integers, inner: float) -> Floats:
    """The outline of flat polygons that together cover all between the origin and their rim.

    flat: (n, V, 2) float, m, with sides (n,) corners in use; inner: m, the radius of a disc about
    the origin that is covered for certain: polygons inside it are passed over.
    Returns (k, 2) float, anticlockwise. Exact at corners that stick out; see RAYS for the rest.
    """
    least = inner * (1.0 - 1e-9)
    both = np.concatenate(
        _search(
            np.ascontiguousarray(flat), np.ascontiguousarray(sides, np.int64), least, COSINES, SINES
        )
    )
    return both[np.argsort(both[:, 0], kind="stable"), 1:]
