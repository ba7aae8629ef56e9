"""Which polygon each sample of a picture sees first: polygon by polygon, without following rays.

A ray from the eye meets a polygon if it runs within the pyramid that the eye and the polygon's
edges span: one product an edge. Of those that it meets the nearest is kept (the z-buffer of Catmull
1974). This is as exact as a ray that looks for its polygon, and takes a tenth of the time.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Integers
from glint.kernels.camera.projection import FISHEYE, project, ray
from glint.kernels.geometry.bvh import NOTHING
from glint.kernels.runtime.jit import kernel

SIDE = 16
"""Pixels along the side of a field, of which each is drawn by one thread."""


class Fields(NamedTuple):
    """Pixels that bodies may cover, in fields of SIDE pixels a side.

    wanted: (h, w) bool
    place: (k, 2) int, row and column of each field that has any, counted in fields
    number: (ceil(h / SIDE), ceil(w / SIDE)) int, which of them each field is, or NOTHING
    """

    wanted: Flags
    place: Integers
    number: Integers


def in_blocks(marked: Flags, side: int) -> Flags:
    """In which blocks of so many pixels a side any are marked: (ceil(h / side), ceil(w / side))."""
    height, width = marked.shape
    rows, columns = -(-height // side), -(-width // side)
    padded = np.zeros((rows * side, columns * side), np.bool_)
    padded[:height, :width] = marked
    return np.any(padded.reshape(rows, side, columns, side), axis=(1, 3))


def fields_of(wanted: Flags) -> Fields:
    """The fields of a mask (h, w) bool."""
    some = in_blocks(wanted, SIDE)
    number = np.full(some.shape, NOTHING, np.int64)
    number[some] = np.arange(int(some.sum()))
    return Fields(wanted, np.argwhere(some).astype(np.int64), number)


@kernel
def _boxes(bodies, instants, camera, box, face):
    """The pixels that each polygon may cover, at each instant.

    box: (m * p, 4) int32, written: first and last column, first and last row. face: (m * p,) int8,
    written: 0 where nothing is seen, 1 if the polygon's front is, 2 if its back is.
    """
    polygons, at = bodies.sides.shape[0], camera.at
    height, width = camera.size[1], camera.size[0]
    corners, normals = bodies.corners, bodies.normals
    for e in range(box.shape[0]):
        face[e] = 0
        i, p = e // polygons, e % polygons
        b, sides = bodies.body[p], bodies.sides[p]
        r0, r1, r2 = instants[i, b, 0], instants[i, b, 1], instants[i, b, 2]
        r3, r4, r5 = instants[i, b, 3], instants[i, b, 4], instants[i, b, 5]
        r6, r7, r8 = instants[i, b, 6], instants[i, b, 7], instants[i, b, 8]
        cx, cy, cz = instants[i, b, 9], instants[i, b, 10], instants[i, b, 11]
        low_x, high_x, low_y, high_y = 1e9, -1e9, 1e9, -1e9
        seen, sag = 0, 0.0
        px = py = pz = x = y = 0.0
        for k in range(sides + 1):
            c = k if k < sides else 0
            qx, qy, qz, last_x, last_y = px, py, pz, x, y
            px, py, pz = corners[p, c, 0], corners[p, c, 1], corners[p, c, 2]
            px, py, pz = (
                cx + r0 * px + r1 * py + r2 * pz,
                cy + r3 * px + r4 * py + r5 * pz,
                cz + r6 * px + r7 * py + r8 * pz,
            )
            ahead, x, y = project(camera, px, py, pz)
            if ahead and k < sides:
                seen += 1
                low_x, high_x = min(low_x, x), max(high_x, x)
                low_y, high_y = min(low_y, y), max(high_y, y)
            if k > 0 and camera.kind == FISHEYE:
                # Straight edges look bent there, most in their middle.
                _, mx, my = project(camera, 0.5 * (px + qx), 0.5 * (py + qy), 0.5 * (pz + qz))
                bend = max(abs(mx - 0.5 * (x + last_x)), abs(my - 0.5 * (y + last_y)))
                sag = max(sag, 2.0 * bend + 1.0)
        if seen == 0:
            continue
        if seen < sides:
            low_x, high_x, low_y, high_y = 0.0, width - 1.0, 0.0, height - 1.0
        low_x, high_x, low_y, high_y = low_x - sag, high_x + sag, low_y - sag, high_y + sag
        if high_x < 0.0 or high_y < 0.0 or low_x >= width or low_y >= height:
            continue
        nx, ny, nz = normals[p, 0], normals[p, 1], normals[p, 2]
        away = (
            (r0 * nx + r1 * ny + r2 * nz) * (px - at[0])
            + (r3 * nx + r4 * ny + r5 * nz) * (py - at[1])
            + (r6 * nx + r7 * ny + r8 * nz) * (pz - at[2])
        )
        if away != 0.0:
            face[e] = 1 if away < 0.0 else 2
            box[e, 0] = max(math.floor(low_x), 0)
            box[e, 1] = min(math.floor(high_x), width - 1)
            box[e, 2] = max(math.floor(low_y), 0)
            box[e, 3] = min(math.floor(high_y), height - 1)


@kernel
def polygons_in_fields(bodies, instants, camera, number, count):
    """The polygons that each field may show, at each instant; those that face the eye come first.

    instants: (m, b, 12) float, see `stances`. number: see Fields; count: of the fields.
    Returns box (m * p, 4) int32, the first and last column and row that each may cover, start
    (count + 1,) int, and entries (k,) int: rows of box, the polygons one instant after the other.
    """
    box = np.empty((instants.shape[0] * bodies.sides.shape[0], 4), np.int32)
    face = np.empty(box.shape[0], np.int8)
    _boxes(bodies, instants, camera, box, face)
    start = np.zeros(count + 1, np.int64)
    filled = np.zeros(count + 1, np.int64)
    entries = np.empty(0, np.int64)
    for side in range(3):
        # First all are counted, then listed, fronts before backs.
        for e in range(box.shape[0]):
            if face[e] == 0 or (side > 0 and face[e] != side):
                continue
            for row in range(box[e, 2] // SIDE, box[e, 3] // SIDE + 1):
                for column in range(box[e, 0] // SIDE, box[e, 1] // SIDE + 1):
                    f = number[row, column]
                    if f < 0:
                        continue
                    if side == 0:
                        start[f + 1] += 1
                    else:
                        entries[filled[f]] = e
                        filled[f] += 1
        if side == 0:
            for f in range(count):
                start[f + 1] += start[f]
            filled[:] = start
            entries = np.empty(start[count], np.int64)
    return box, start, entries


@kernel
def rays_of_field(camera, left, top, places, ways):
    """Directions of the rays of a field's samples, all zero where a picture has no ray.

    left, top: the field's first pixel. places: (n, 2) float, in a pixel. ways:
    (SIDE * SIDE * n, 3) float, written, pixel by pixel.
    """
    number = places.shape[0]
    for q in range(SIDE * SIDE):
        x, y = left + q % SIDE, top + q // SIDE
        for n in range(number):
            k = q * number + n
            ways[k, 0], ways[k, 1], ways[k, 2] = ray(camera, x + places[n, 0], y + places[n, 1])


@kernel
def cover_field(
    bodies, instants, at, box, entries, first, last, left, top, number, ways, path, found, edges
):
    """The polygon that each sample of a field meets first, or NOTHING, and how far away that is.

    at: (3,) float, m, the eye. box, entries: see `polygons_in_fields`, of this field those from
    first to last. left, top: its first pixel. number: of samples a pixel; sample n shows instant n
    modulo their number. ways: see `rays_of_field`. path: (SIDE * SIDE * number,) float, m, and
    found, the same of int32, written. edges: (V, 3) float, scratch.
    """
    polygons, moments = bodies.sides.shape[0], instants.shape[0]
    corners, normals = bodies.corners, bodies.normals
    total = SIDE * SIDE * number
    for k in range(total):
        path[k], found[k] = math.inf, NOTHING
    farthest, behind = math.inf, False
    for m in range(first, last):
        e = entries[m]
        i, p = e // polygons, e % polygons
        b, sides = bodies.body[p], bodies.sides[p]
        r0, r1, r2 = instants[i, b, 0], instants[i, b, 1], instants[i, b, 2]
        r3, r4, r5 = instants[i, b, 3], instants[i, b, 4], instants[i, b, 5]
        r6, r7, r8 = instants[i, b, 6], instants[i, b, 7], instants[i, b, 8]
        cx, cy, cz = (
            instants[i, b, 9] - at[0],
            instants[i, b, 10] - at[1],
            instants[i, b, 11] - at[2],
        )
        nx, ny, nz = normals[p, 0], normals[p, 1], normals[p, 2]
        nx, ny, nz = (
            r0 * nx + r1 * ny + r2 * nz,
            r3 * nx + r4 * ny + r5 * nz,
            r6 * nx + r7 * ny + r8 * nz,
        )
        px, py, pz = corners[p, 0, 0], corners[p, 0, 1], corners[p, 0, 2]
        px, py, pz = (
            cx + r0 * px + r1 * py + r2 * pz,
            cy + r3 * px + r4 * py + r5 * pz,
            cz + r6 * px + r7 * py + r8 * pz,
        )
        away = px * nx + py * ny + pz * nz
        if away > 0.0:
            if not behind:
                # All that face the eye are drawn: what is farther than those is hidden.
                behind, farthest = True, 0.0
                for k in range(total):
                    farthest = max(farthest, path[k])
            if away >= farthest:
                continue
        sense = 1.0 if away > 0.0 else -1.0
        for c in range(sides):
            n = c + 1 if c + 1 < sides else 0
            qx, qy, qz = corners[p, n, 0], corners[p, n, 1], corners[p, n, 2]
            qx, qy, qz = (
                cx + r0 * qx + r1 * qy + r2 * qz,
                cy + r3 * qx + r4 * qy + r5 * qz,
                cz + r6 * qx + r7 * qy + r8 * qz,
            )
            edges[c, 0] = sense * (py * qz - pz * qy)
            edges[c, 1] = sense * (pz * qx - px * qz)
            edges[c, 2] = sense * (px * qy - py * qx)
            px, py, pz = qx, qy, qz
        for row in range(max(box[e, 2] - top, 0), min(box[e, 3] - top + 1, SIDE)):
            for column in range(max(box[e, 0] - left, 0), min(box[e, 1] - left + 1, SIDE)):
                q = (row * SIDE + column) * number
                for k in range(q + i, q + number, moments):
                    dx, dy, dz = ways[k, 0], ways[k, 1], ways[k, 2]
                    fall = dx * nx + dy * ny + dz * nz
                    if fall * sense <= 0.0:
                        continue
                    here = away / fall
                    if here >= path[k]:
                        continue
                    inside = True
                    for c in range(sides):
                        if dx * edges[c, 0] + dy * edges[c, 1] + dz * edges[c, 2] < 0.0:
                            inside = False
                            break
                    if inside:
                        path[k], found[k] = here, p
