"""Solid things in the room as flat polygons, and which of them a ray meets first.

A body's polygons are kept in its own frame, in a tree of boxes (bounding volumes: Rubin & Whitted
1980) that is built once; how it is turned, and where its centre is, may be others in every picture.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats, Integers
from glint.optics.compile import kernel

LEAF_SIZE = 3
DEEPEST = 64
NOTHING = -1


class Bodies(NamedTuple):
    """All bodies; the polygons of one follow each other, in the order of its tree's leaves.

    corners: (n, V, 3) float, m, in the body's frame. sides: (n,) int. normals: (n, 3) float
    mirror: (n,) bool, of the front. reflectance: (n,) float, of mirrors
    paint: (n, 3) float, diffuse reflectance of panels and of backs
    depth: (n,) float, m, of openings that shine, how far below them their inner end lies, which is
        the same polygon; below zero for all that is no opening
    body: (n,) int, which body each is of
    boxes: (m, 6) float, m, least and most corner. children: (m, 2) int, of a branch the nodes
        below, of a leaf minus one minus its first polygon, and how many
    root: (b,) int, each body's top node
    luminance: (b, 3) float, cd/m**2, linear RGB, of each body's openings
    centre: (b, 3) float, m, at rest. radius: (b,) float, m, of the sphere about it that holds all
    """

    corners: Floats
    sides: Integers
    normals: Floats
    mirror: Flags
    reflectance: Floats
    paint: Floats
    depth: Floats
    body: Integers
    boxes: Floats
    children: Integers
    root: Integers
    luminance: Floats
    centre: Floats
    radius: Floats
    convex: Flags


def tree(low: Floats, high: Floats) -> tuple[Floats, Integers, Integers]:
    """A tree of boxes about polygons: halved at the median along the longest side.

    low, high: (n, 3) float, each polygon's box. Returns boxes (m, 6), children (m, 2) and the
    order (n,) int of polygons in the leaves.
    """
    middle = (low + high) / 2.0
    boxes: list[np.ndarray] = []
    children: list[tuple[int, int]] = []
    order: list[int] = []

    def grow(members: np.ndarray) -> int:
        number = len(boxes)
        boxes.append(np.concatenate([low[members].min(axis=0), high[members].max(axis=0)]))
        children.append((0, 0))
        if len(members) <= LEAF_SIZE:
            children[number] = (-1 - len(order), len(members))
            order.extend(int(m) for m in members)
            return number
        axis = int(np.argmax(np.ptp(middle[members], axis=0)))
        ranked = members[np.argsort(middle[members, axis], kind="stable")]
        half = len(ranked) // 2
        children[number] = (grow(ranked[:half]), grow(ranked[half:]))
        return number

    grow(np.arange(len(low)))
    return np.array(boxes), np.array(children, np.int64), np.array(order, np.int64)


@kernel
def _enters(x0, y0, z0, x1, y1, z1, x, y, z, ix, iy, iz, nearest):
    """Where a ray enters a box, if nearer than so far; else that (slabs: Kay & Kajiya 1986)."""
    first, last = (x0 - x) * ix, (x1 - x) * ix
    enter, leave = min(first, last), max(first, last)
    first, last = (y0 - y) * iy, (y1 - y) * iy
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    first, last = (z0 - z) * iz, (z1 - z) * iz
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    return enter if leave >= max(enter, 0.0) and enter < nearest else nearest


@kernel
def _contains(corners, p, count, nx, ny, nz, x, y, z):
    """Whether a point of a polygon's plane lies inside it.

    corners: (n, V, 3) float, of all polygons; count: of this one. (nx, ny, nz): its normal.
    """
    ax, ay, az = corners[p, count - 1, 0], corners[p, count - 1, 1], corners[p, count - 1, 2]
    for i in range(count):
        bx, by, bz = corners[p, i, 0], corners[p, i, 1], corners[p, i, 2]
        ex, ey, ez = bx - ax, by - ay, bz - az
        qx, qy, qz = x - ax, y - ay, z - az
        if nx * (ey * qz - ez * qy) + ny * (ez * qx - ex * qz) + nz * (ex * qy - ey * qx) < 0.0:
            return False
        ax, ay, az = bx, by, bz
    return True


@kernel
def passes_inside(bodies, turn, body, p, x, y, z, dx, dy, dz, fall):
    """Whether a ray that has met an opening from outside at (x, y, z) also passes its inner end.

    fall: cosine of the ray to the normal, below zero.
    """
    depth = bodies.depth[p]
    if depth == 0.0:
        return True
    t, n = turn[body], bodies.normals[p]
    path = -depth / fall
    ox, oy, oz = x + path * dx - t[9], y + path * dy - t[10], z + path * dz - t[11]
    return _contains(
        bodies.corners,
        p,
        bodies.sides[p],
        n[0],
        n[1],
        n[2],
        t[0] * ox + t[3] * oy + t[6] * oz + depth * n[0],
        t[1] * ox + t[4] * oy + t[7] * oz + depth * n[1],
        t[2] * ox + t[5] * oy + t[8] * oz + depth * n[2],
    )


@kernel
def _inverse(value):
    return 1.0 / value if abs(value) > 1e-30 else 1e30


@kernel
def nearest_polygon(bodies, turn, x, y, z, dx, dy, dz, limit, skip, stack):
    """The polygon that a ray meets first within a limit: (body, polygon, path, m).

    turn: (b, 12) float, how each body stands, see `stances`. skip: a body to look through, or
    NOTHING. stack: (DEEPEST,) int, scratch. Both numbers are NOTHING where nothing is met.
    """
    # Numbers, not slices, in here: each slice would be counted (see `borrow`), hundreds a ray.
    boxes, children, root, radii = bodies.boxes, bodies.children, bodies.root, bodies.radius
    corners, sides, normals = bodies.corners, bodies.sides, bodies.normals
    found_body, found, nearest = NOTHING, NOTHING, limit
    for b in range(root.shape[0]):
        if b == skip:
            continue
        ox, oy, oz = x - turn[b, 9], y - turn[b, 10], z - turn[b, 11]
        along = -(ox * dx + oy * dy + oz * dz)
        away = ox * ox + oy * oy + oz * oz
        radius = radii[b]
        outside = away > radius * radius
        if outside and (along < 0.0 or away - along * along > radius * radius):
            continue
        px = turn[b, 0] * ox + turn[b, 3] * oy + turn[b, 6] * oz
        py = turn[b, 1] * ox + turn[b, 4] * oy + turn[b, 7] * oz
        pz = turn[b, 2] * ox + turn[b, 5] * oy + turn[b, 8] * oz
        vx = turn[b, 0] * dx + turn[b, 3] * dy + turn[b, 6] * dz
        vy = turn[b, 1] * dx + turn[b, 4] * dy + turn[b, 7] * dz
        vz = turn[b, 2] * dx + turn[b, 5] * dy + turn[b, 8] * dz
        ix, iy, iz = _inverse(vx), _inverse(vy), _inverse(vz)
        node = root[b]
        enter = _enters(
            boxes[node, 0], boxes[node, 1], boxes[node, 2],
            boxes[node, 3], boxes[node, 4], boxes[node, 5],
            px, py, pz, ix, iy, iz, nearest,
        )  # fmt: skip
        if enter >= nearest:
            continue
        stack[0] = node
        depth = 1
        while depth > 0:
            depth -= 1
            node = stack[depth]
            left, right = children[node, 0], children[node, 1]
            if left < 0:
                for p in range(-1 - left, right - 1 - left):
                    nx, ny, nz = normals[p, 0], normals[p, 1], normals[p, 2]
                    fall = vx * nx + vy * ny + vz * nz
                    hx, hy, hz = corners[p, 0, 0] - px, corners[p, 0, 1] - py, corners[p, 0, 2] - pz
                    path = (hx * nx + hy * ny + hz * nz) / fall if fall != 0.0 else 0.0
                    if path <= 0.0 or path >= nearest:
                        continue
                    hx, hy, hz = px + path * vx, py + path * vy, pz + path * vz
                    if _contains(corners, p, sides[p], nx, ny, nz, hx, hy, hz):
                        found_body, found, nearest = b, p, path
                continue
            # The nearer of the two is looked at first, and often spares the other.
            one = _enters(
                boxes[left, 0], boxes[left, 1], boxes[left, 2],
                boxes[left, 3], boxes[left, 4], boxes[left, 5],
                px, py, pz, ix, iy, iz, nearest,
            )  # fmt: skip
            two = _enters(
                boxes[right, 0], boxes[right, 1], boxes[right, 2],
                boxes[right, 3], boxes[right, 4], boxes[right, 5],
                px, py, pz, ix, iy, iz, nearest,
            )  # fmt: skip
            if two < one:
                left, right, one, two = right, left, two, one
            if two < nearest:
                stack[depth] = right
                depth += 1
            if one < nearest:
                stack[depth] = left
                depth += 1
    return found_body, found, nearest


@kernel
def turned_normal(bodies, turn, body, polygon):
    """A polygon's normal in the room's frame."""
    n, b = bodies.normals, body
    x, y, z = n[polygon, 0], n[polygon, 1], n[polygon, 2]
    return (
        turn[b, 0] * x + turn[b, 1] * y + turn[b, 2] * z,
        turn[b, 3] * x + turn[b, 4] * y + turn[b, 5] * z,
        turn[b, 6] * x + turn[b, 7] * y + turn[b, 8] * z,
    )


def stances(rotations: Floats, centres: Floats) -> Floats:
    """How bodies stand, as the kernels take it: (b, 12) float.

    rotations: (b, 3, 3) float, from each body's frame to the room's, kept row by row; centres:
    (b, 3) float, m.
    """
    return np.hstack([rotations.reshape(-1, 9), centres])


def at_rest(bodies: Bodies) -> Floats:
    """How bodies stand that are not turned: (b, 12) float."""
    return stances(np.tile(np.eye(3), (len(bodies.root), 1, 1)), bodies.centre)


def tree_depth(children: Integers, root: int = 0) -> int:
    """Levels of a tree; a ray's stack never needs more than one entry a level, and one."""
    left, right = children[root]
    if left < 0:
        return 1
    return 1 + max(tree_depth(children, int(left)), tree_depth(children, int(right)))
