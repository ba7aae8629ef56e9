"""Solid things in the room as flat polygons, and which of them a ray meets first.

A body's polygons are kept in its own frame, in a tree of boxes (bounding volumes: Rubin & Whitted
1980) that is built once; how it is turned, and where its centre is, may be others in every picture.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers, OccluderLists, Polygons
from glint.kernels.runtime.jit import kernel

LEAF_SIZE = 3
DEEPEST = 64

SHORT = 24
"""Most polygons that a ray is held against one by one, rather than by the tree."""

BALANCED = 40
"""Levels below which a tree is halved, so that no stack of DEEPEST is too small."""

NOTHING = np.int64(-1)  # a plain -1 is a type of its own to numba


class Solid(NamedTuple):
    """Bodies as rays are held against them; in few arrays, each of which a call has to hand over.

    face: (n, 5 + 4 V) float, of each polygon the normal (3), how far its plane is from the body's
        middle along that, m, how many sides it has, and of each side the unit vector across it,
        inwards (3), and how far inside of it the middle lies, m
    box: (m, 6) float, m, least and most corner. child: (m or more, 2) int, of a branch the nodes
        below, of a leaf minus one minus its first place in `member`, and how many
    member: (n or more,) int, polygons: all of them in order, then short lists
    ahead: (n,) int, the node of what can be met from the front of each polygon: of a mirror a leaf
        without a box, or NOTHING; where that would be long, and of all else, the top of its body
    whole: (b, 6) float, of each body its top node, the radius, m, of the sphere about it, the unit
        vector along it if it is long, and how far from the line along that it reaches, m; the last
        four are zero if it is not long
    """

    face: Floats
    box: Floats
    child: Integers
    member: Integers
    ahead: Integers
    whole: Floats


class Bodies(NamedTuple):
    """All bodies; the polygons of one follow each other, in the order of its tree's leaves.

    corners: (n, V, 3) float, m, in the body's frame. sides: (n,) int. normals: (n, 3) float
    mirror: (n,) bool, of the front. reflectance: (n,) float, of mirrors
    paint: (n, 3) float, diffuse reflectance of panels and of backs
    depth: (n,) float, m, of openings that shine, how far below them their inner end lies, which is
        the same polygon; below zero for all that is no opening
    body: (n,) int, which body each is of
    luminance: (b, 3) float, cd/m**2, linear RGB, of each body's openings
    centre: (b, 3) float, m, at rest. radius: (b,) float, m, of the sphere about it that holds all
    solid: the same polygons for rays
    """

    corners: Floats
    sides: Integers
    normals: Floats
    mirror: Flags
    reflectance: Floats
    paint: Floats
    depth: Floats
    body: Integers
    luminance: Floats
    centre: Floats
    radius: Floats
    solid: Solid


def faces_of(corners: Floats, sides: Integers, normals: Floats) -> Floats:
    """`Solid.face` of polygons, whose short rows repeat their last corner."""
    after = np.roll(corners, -1, axis=1)
    after[np.arange(len(sides)), sides - 1] = corners[:, 0]
    across = np.cross(normals[:, None], after - corners)
    length = np.linalg.norm(across, axis=2, keepdims=True)
    across = np.divide(across, length, out=np.zeros_like(across), where=length > 0.0)
    within = -np.einsum("nvk,nvk->nv", across, corners)
    edges = np.concatenate([across, within[..., None]], axis=2).reshape(len(sides), -1)
    level = np.einsum("nk,nk->n", normals, corners[:, 0])
    return np.column_stack([normals, level, sides, edges])


def tree(low: Floats, high: Floats) -> tuple[Floats, Integers, Integers]:
    """A tree of boxes about polygons, cut across the longest side where a ray that meets the box is
    foretold the least to do (the surface area heuristic of Goldsmith & Salmon 1987).

    low, high: (n, 3) float, each polygon's box. Returns boxes (m, 6), children (m, 2) and the
    order (n,) int of polygons in the leaves.
    """
    middle = (low + high) / 2.0
    boxes: list[np.ndarray] = []
    children: list[tuple[int, int]] = []
    order: list[int] = []

    def grow(members: np.ndarray, level: int) -> int:
        number = len(boxes)
        boxes.append(np.concatenate([low[members].min(axis=0), high[members].max(axis=0)]))
        children.append((0, 0))
        if len(members) <= LEAF_SIZE:
            children[number] = (-1 - len(order), len(members))
            order.extend(int(m) for m in members)
            return number
        axis = int(np.argmax(np.ptp(middle[members], axis=0)))
        ranked = members[np.argsort(middle[members, axis], kind="stable")]
        cut = _best_cut(low[ranked], high[ranked]) if level < BALANCED else len(ranked) // 2
        left, right = ranked[:cut], ranked[cut:]
        children[number] = (grow(left, level + 1), grow(right, level + 1))
        return number

    grow(np.arange(len(low)), 0)
    return np.array(boxes), np.array(children, np.int64), np.array(order, np.int64)


def _best_cut(low: Floats, high: Floats) -> int:
    """How many of a row of boxes, (n, 3) float low and high, go to the left."""
    cost = np.zeros(len(low) - 1)
    many = np.arange(1, len(low))
    for step in (1, -1):
        size = np.maximum.accumulate(high[::step]) - np.minimum.accumulate(low[::step])
        area = (
            size[:-1, 0] * size[:-1, 1] + size[:-1, 1] * size[:-1, 2] + size[:-1, 2] * size[:-1, 0]
        )
        cost += (area * many)[::step]
    return int(np.argmin(cost)) + 1


def solid_of(
    face: Floats,
    box: Floats,
    child: Integers,
    whole: Floats,
    polygons: Polygons,
    occluders: OccluderLists,
) -> Solid:
    """Bodies for rays, see `Solid`; the trees' leaves hold the polygons as they come.

    polygons: with the body for the ball. occluders: what can be met from each mirror.
    """
    number = np.diff(occluders.start)
    short = polygons.mirror & (number > 0) & (number <= SHORT)
    listed = number[short]
    top = whole[polygons.ball, 0].astype(np.int64)
    ahead = np.where(polygons.mirror & (number == 0), NOTHING, top)
    ahead[short] = len(child) + np.arange(len(listed))
    member = np.concatenate([np.arange(len(number)), occluders.index[np.repeat(short, number)]])
    first = len(number) + np.cumsum(listed) - listed
    lists = np.column_stack([-1 - first, listed])
    return Solid(face, box, np.concatenate([child, lists]), member, ahead, whole)


@kernel
def _enters(x0, y0, z0, x1, y1, z1, ax, ay, az, bx, by, bz, ix, iy, iz, nearest):
    """Where a ray enters a box, if nearer than so far; else that (slabs: Kay & Kajiya 1986).

    Seen from a is the least corner, from b the most; both are the ray's beginning for a plain box.
    """
    first, last = (x0 - ax) * ix, (x1 - bx) * ix
    enter, leave = min(first, last), max(first, last)
    first, last = (y0 - ay) * iy, (y1 - by) * iy
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    first, last = (z0 - az) * iz, (z1 - bz) * iz
    enter, leave = max(enter, min(first, last)), min(leave, max(first, last))
    return enter if leave >= max(enter, 0.0) and enter < nearest else nearest


@kernel
def passes_inside(bodies, turn, body, p, x, y, z, dx, dy, dz, fall):
    """Whether a ray that has met an opening from outside at (x, y, z) also passes its inner end.

    fall: cosine of the ray to the normal, below zero.
    """
    depth = bodies.depth[p]
    if depth == 0.0:
        return True
    t, face = turn[body], bodies.solid.face
    path = -depth / fall
    ox, oy, oz = x + path * dx - t[9], y + path * dy - t[10], z + path * dz - t[11]
    ox, oy, oz = (
        t[0] * ox + t[3] * oy + t[6] * oz,
        t[1] * ox + t[4] * oy + t[7] * oz,
        t[2] * ox + t[5] * oy + t[8] * oz,
    )
    for c in range(5, 5 + 4 * bodies.sides[p], 4):
        # Both ends have the same sides, one straight below the other.
        if face[p, c] * ox + face[p, c + 1] * oy + face[p, c + 2] * oz + face[p, c + 3] < 0.0:
            return False
    return True


@kernel
def _inverse(value):
    return 1.0 / value if abs(value) > 1e-30 else 1e30


@kernel
def nearest_polygon(solid, turn, x, y, z, dx, dy, dz, limit, own, begin, wide, growth, stack):
    """The polygon that a ray meets first within a limit: (body, polygon, path, m, edge, m).

    turn: (b, 12) float, how each body stands, see `stances`. own: the body that the ray leaves, or
    NOTHING; begin: the node below which that is looked at, as of `Solid.ahead`, or NOTHING for a
    body to look through. stack: (DEEPEST,) int, scratch. Body and polygon are NOTHING where none is
    met.
    wide, growth: m and m/m, how far from the ray, and how much farther on each metre, edges count:
    `edge` is where it comes so near to one, no farther than path, or infinite.
    """
    # Numbers, not slices, in here: each slice would be counted (see `borrow`), hundreds a ray.
    face, boxes, children, whole = solid.face, solid.box, solid.child, solid.whole
    member = solid.member
    found_body, found, nearest, edge = NOTHING, NOTHING, limit, math.inf
    for b in range(whole.shape[0]):
        if b == own and begin == NOTHING:
            continue
        ox, oy, oz = x - turn[b, 9], y - turn[b, 10], z - turn[b, 11]
        along = -(ox * dx + oy * dy + oz * dz)
        away = ox * ox + oy * oy + oz * oz
        spread = wide + growth * (abs(along) + whole[b, 1])
        radius = whole[b, 1] + spread
        outside = away > radius * radius
        if outside and (along < 0.0 or away - along * along > radius * radius):
            continue
        px = turn[b, 0] * ox + turn[b, 3] * oy + turn[b, 6] * oz
        py = turn[b, 1] * ox + turn[b, 4] * oy + turn[b, 7] * oz
        pz = turn[b, 2] * ox + turn[b, 5] * oy + turn[b, 8] * oz
        vx = turn[b, 0] * dx + turn[b, 3] * dy + turn[b, 6] * dz
        vy = turn[b, 1] * dx + turn[b, 4] * dy + turn[b, 7] * dz
        vz = turn[b, 2] * dx + turn[b, 5] * dy + turn[b, 8] * dz
        # How near the ray comes to the axis of a long body.
        cx = vy * whole[b, 4] - vz * whole[b, 3]
        cy = vz * whole[b, 2] - vx * whole[b, 4]
        cz = vx * whole[b, 3] - vy * whole[b, 2]
        aside, radius = px * cx + py * cy + pz * cz, whole[b, 5] + spread
        if aside * aside > radius * radius * (cx * cx + cy * cy + cz * cz):
            continue
        ix, iy, iz = _inverse(vx), _inverse(vy), _inverse(vz)
        # Boxes grow by the spread, as the two places from which their sides are seen draw apart.
        ax, ay, az = px + spread, py + spread, pz + spread
        bx, by, bz = px - spread, py - spread, pz - spread
        node = begin
        if b != own:
            node = int(whole[b, 0])
            enter = _enters(
                boxes[node, 0], boxes[node, 1], boxes[node, 2],
                boxes[node, 3], boxes[node, 4], boxes[node, 5],
                ax, ay, az, bx, by, bz, ix, iy, iz, nearest,
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
                for k in range(-1 - left, right - 1 - left):
                    p = member[k]
                    nx, ny, nz = face[p, 0], face[p, 1], face[p, 2]
                    fall = vx * nx + vy * ny + vz * nz
                    rise = face[p, 3] - (px * nx + py * ny + pz * nz)
                    if rise * fall <= 0.0 or abs(rise) >= nearest * abs(fall):
                        continue
                    path = rise / fall
                    hx, hy, hz = px + path * vx, py + path * vy, pz + path * vz
                    inside, beside, near = True, False, wide + growth * path
                    for c in range(5, 5 + 4 * int(face[p, 4]), 4):
                        ex, ey, ez = face[p, c], face[p, c + 1], face[p, c + 2]
                        within = ex * hx + ey * hy + ez * hz + face[p, c + 3]
                        if within < 0.0:
                            inside = False
                            if near == 0.0:
                                break
                        elif within * abs(fall) >= near:
                            continue
                        # Across the ray an edge is nearer than in the polygon's plane.
                        slant = ex * vx + ey * vy + ez * vz
                        across = within * within * fall * fall
                        if across < near * near * (fall * fall + slant * slant):
                            beside = True
                        elif within < 0.0:
                            beside = False
                            break
                    if inside:
                        found_body, found, nearest = b, p, path
                    if beside:
                        edge = min(edge, path)
                continue
            # The nearer of the two is looked at first, and often spares the other.
            one = _enters(
                boxes[left, 0], boxes[left, 1], boxes[left, 2],
                boxes[left, 3], boxes[left, 4], boxes[left, 5],
                ax, ay, az, bx, by, bz, ix, iy, iz, nearest,
            )  # fmt: skip
            two = _enters(
                boxes[right, 0], boxes[right, 1], boxes[right, 2],
                boxes[right, 3], boxes[right, 4], boxes[right, 5],
                ax, ay, az, bx, by, bz, ix, iy, iz, nearest,
            )  # fmt: skip
            if two < one:
                left, right, one, two = right, left, two, one
            if two < nearest:
                stack[depth] = right
                depth += 1
            if one < nearest:
                stack[depth] = left
                depth += 1
    return found_body, found, nearest, edge if edge <= nearest else math.inf


@kernel
def turned_normal(normals, turn, b, polygon):
    """The normal of a body's polygon in the room's frame. normals: as in Bodies."""
    x, y, z = normals[polygon, 0], normals[polygon, 1], normals[polygon, 2]
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
    return stances(np.tile(np.eye(3), (len(bodies.radius), 1, 1)), bodies.centre)
