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
def _enters(box, x, y, z, ix, iy, iz, nearest):
    """Where a ray enters a box, if nearer than so far; else that (slabs: Kay & Kajiya 1986)."""
    first, last = (box[0] - x) * ix, (box[3] - x) * ix
    enter, leave = min(first, last), max(first, last)
    first, last = (box[1] - y) * iy, (box[4] - y) * iy
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    first, last = (box[2] - z) * iz, (box[5] - z) * iz
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    return enter if leave >= max(enter, 0.0) and enter < nearest else nearest


@kernel
def _contains(bodies, p, x, y, z):
    """Whether a point of a polygon's plane lies inside it."""
    n, c = bodies.normals[p], bodies.corners[p]
    count = bodies.sides[p]
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        ex, ey, ez = c[j, 0] - c[i, 0], c[j, 1] - c[i, 1], c[j, 2] - c[i, 2]
        qx, qy, qz = x - c[i, 0], y - c[i, 1], z - c[i, 2]
        turn = n[0] * (ey * qz - ez * qy) + n[1] * (ez * qx - ex * qz) + n[2] * (ex * qy - ey * qx)
        if turn < 0.0:
            return False
    return True


@kernel
def _polygon_path(bodies, p, x, y, z, dx, dy, dz, nearest):
    """Path to a polygon along a ray if it is met nearer than so far, else that."""
    n, c = bodies.normals[p], bodies.corners[p]
    fall = dx * n[0] + dy * n[1] + dz * n[2]
    if fall == 0.0:
        return nearest
    path = ((c[0, 0] - x) * n[0] + (c[0, 1] - y) * n[1] + (c[0, 2] - z) * n[2]) / fall
    if path <= 0.0 or path >= nearest:
        return nearest
    within = _contains(bodies, p, x + path * dx, y + path * dy, z + path * dz)
    return path if within else nearest


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
        bodies,
        p,
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
    found_body, found, nearest = NOTHING, NOTHING, limit
    for b in range(bodies.root.shape[0]):
        if b == skip:
            continue
        t = turn[b]
        ox, oy, oz = x - t[9], y - t[10], z - t[11]
        along = -(ox * dx + oy * dy + oz * dz)
        away = ox * ox + oy * oy + oz * oz
        radius = bodies.radius[b]
        outside = away > radius * radius
        if outside and (along < 0.0 or away - along * along > radius * radius):
            continue
        px = t[0] * ox + t[3] * oy + t[6] * oz
        py = t[1] * ox + t[4] * oy + t[7] * oz
        pz = t[2] * ox + t[5] * oy + t[8] * oz
        vx = t[0] * dx + t[3] * dy + t[6] * dz
        vy = t[1] * dx + t[4] * dy + t[7] * dz
        vz = t[2] * dx + t[5] * dy + t[8] * dz
        ix, iy, iz = _inverse(vx), _inverse(vy), _inverse(vz)
        if _enters(bodies.boxes[bodies.root[b]], px, py, pz, ix, iy, iz, nearest) >= nearest:
            continue
        stack[0] = bodies.root[b]
        depth = 1
        while depth > 0:
            depth -= 1
            node = stack[depth]
            left, right = bodies.children[node, 0], bodies.children[node, 1]
            if left < 0:
                for p in range(-1 - left, right - 1 - left):
                    path = _polygon_path(bodies, p, px, py, pz, vx, vy, vz, nearest)
                    if path < nearest:
                        found_body, found, nearest = b, p, path
                continue
            # The nearer of the two is looked at first, and often spares the other.
            one = _enters(bodies.boxes[left], px, py, pz, ix, iy, iz, nearest)
            two = _enters(bodies.boxes[right], px, py, pz, ix, iy, iz, nearest)
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
    n, t = bodies.normals[polygon], turn[body]
    return (
        t[0] * n[0] + t[1] * n[1] + t[2] * n[2],
        t[3] * n[0] + t[4] * n[1] + t[5] * n[2],
        t[6] * n[0] + t[7] * n[1] + t[8] * n[2],
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
