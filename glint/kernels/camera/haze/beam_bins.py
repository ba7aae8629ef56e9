"""Which beams may be seen in which cells of a picture, so that a ray asks only those."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.camera.projection import ray
from glint.kernels.runtime.jit import kernel

GROWTH = 1.5
"""Each stretch of a beam reaches so many times as far from the tip as the last."""

MOST_STRETCHES = 32
NEAREST = 0.02
"""Share of a beam's length from its tip that the first stretch takes."""

WIDE = 4
"""Cells along the side of a group, for which lists are made first."""


@kernel
def _stretches(cone, eye, farthest, bands):
    """Bands on the eye's sphere of view that together hold a beam: their number.

    A stretch of the cone is seen along an arc of a great circle, no farther from it than its
    end is wide where it is nearest to the eye. bands: (MOST_STRETCHES, 11) float, written:
    directions of the arc's ends (3 + 3), the normal of its circle (3), cosine and sine of the
    band's half width; a cosine of -1 where it is all about the eye.
    """
    if cone[6] > 0.7:
        bands[0, 9] = -1.0
        return 1
    end = farthest
    square = 0.0
    for k in range(3):
        square += (cone[k] - eye[k]) ** 2
    end += math.sqrt(square)
    tangent = cone[6] / cone[7]
    near, far, number = 0.0, NEAREST * end, 0
    ends, length, normal = np.empty((2, 3)), np.empty(2), np.empty(3)
    while near < end and number < MOST_STRETCHES:
        band, radius = bands[number], far * tangent
        along = 0.0
        for k in range(3):
            ends[0, k] = cone[k] + near * cone[3 + k] - eye[k]
            ends[1, k] = cone[k] + far * cone[3 + k] - eye[k]
            along -= ends[0, k] * cone[3 + k]
        along = min(max(along, 0.0), far - near)
        square = 0.0
        for k in range(3):
            square += (ends[0, k] + along * cone[3 + k]) ** 2
        nearest = math.sqrt(square)
        for e in range(2):
            length[e] = math.sqrt(ends[e, 0] ** 2 + ends[e, 1] ** 2 + ends[e, 2] ** 2)
        for k in range(3):
            m, n = (k + 1) % 3, (k + 2) % 3
            normal[k] = ends[0, m] * ends[1, n] - ends[0, n] * ends[1, m]
        size = math.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2)
        if nearest <= 1.001 * radius:
            band[9] = -1.0
        else:
            for k in range(3):
                band[k], band[3 + k] = ends[0, k] / length[0], ends[1, k] / length[1]
                # Seen end-on, an arc is a point, and any circle through it will do.
                band[6 + k] = normal[k] / size if size > 1e-12 else 0.0
            band[10] = radius / nearest
            band[9] = math.sqrt(1.0 - band[10] * band[10])
        number += 1
        near, far = far, GROWTH * far
    return number


@kernel
def _disc(camera, left, top, side, disc):
    """The disc about a square of the picture: (5,) float, written: direction, cosine and sine of
    its half angle; a cosine of -1 where it is all about the eye."""
    total = np.zeros(3)
    for k in range(9):
        way = ray(camera, left + (k % 3) * 0.5 * side, top + (k // 3) * 0.5 * side)
        if way[0] == 0.0 and way[1] == 0.0 and way[2] == 0.0:
            disc[3], disc[4] = -1.0, 0.0
            return
        for m in range(3):
            total[m] += way[m]
    length = math.sqrt(total[0] ** 2 + total[1] ** 2 + total[2] ** 2)
    cosine = 1.0
    for m in range(3):
        disc[m] = total[m] / length
    for k in range(9):
        way = ray(camera, left + (k % 3) * 0.5 * side, top + (k // 3) * 0.5 * side)
        cosine = min(cosine, way[0] * disc[0] + way[1] * disc[1] + way[2] * disc[2])
    # A square's sides bulge a little in a fisheye's view.
    sine = min(1.05 * math.sqrt(max(1.0 - cosine * cosine, 0.0)), 1.0)
    disc[3], disc[4] = (math.sqrt(1.0 - sine * sine), sine) if cosine > 0.0 else (-1.0, 0.0)


@kernel
def _meets(bands, k, x, y, z, even, half):
    """Whether a band and a disc on the sphere of view have anything in common.

    (x, y, z), even, half: the disc's direction, cosine and sine.
    """
    if bands[k, 9] < 0.0 or even < 0.0:
        return True
    # Half width and half angle together, by the addition theorems.
    sine = bands[k, 10] * even + bands[k, 9] * half
    cosine = bands[k, 9] * even - bands[k, 10] * half
    if cosine <= 0.0:
        return True
    nx, ny, nz = bands[k, 6], bands[k, 7], bands[k, 8]
    # The arc lies in its circle's plane: what is far from that is far from the arc.
    if abs(x * nx + y * ny + z * nz) > sine:
        return False
    ax, ay, az = bands[k, 0], bands[k, 1], bands[k, 2]
    bx, by, bz = bands[k, 3], bands[k, 4], bands[k, 5]
    if x * ax + y * ay + z * az >= cosine or x * bx + y * by + z * bz >= cosine:
        return True
    # Beside the arc, not beyond its ends.
    after = x * (ny * az - nz * ay) + y * (nz * ax - nx * az) + z * (nx * ay - ny * ax)
    before = x * (by * nz - bz * ny) + y * (bz * nx - bx * nz) + z * (bx * ny - by * nx)
    return after >= 0.0 and before >= 0.0


@kernel
def beams_in_cells(cones, camera, farthest, shape, side):
    """The beams that each cell of a picture may show.

    cones: (b, 8) float, see `cone`. farthest: what is seen at most, m from the eye.
    shape: rows and columns of cells. side: of a cell, pixels.
    Returns start (cells + 1,) int and beams (k,) int, row by row.
    """
    number = cones.shape[0]
    bands = np.zeros((number * MOST_STRETCHES, 11))
    start = np.zeros(number + 1, np.int64)
    for b in range(number):
        first = start[b]
        start[b + 1] = first + _stretches(cones[b], camera.at, farthest, bands[first:])
    owner = np.empty(start[number], np.int64)
    for b in range(number):
        owner[start[b] : start[b + 1]] = b
    rows, columns = shape
    group = np.empty(start[number], np.int64)
    disc = np.zeros(5)
    found = np.empty(1024, np.int64)
    sizes = np.zeros((rows * columns, 2), np.int64)
    total = 0
    for top in range(0, rows, WIDE):
        for left in range(0, columns, WIDE):
            _disc(camera, left * side - 1.0, top * side - 1.0, WIDE * side + 2.0, disc)
            x, y, z, even, half = disc[0], disc[1], disc[2], disc[3], disc[4]
            met = 0
            for k in range(start[number]):
                if _meets(bands, k, x, y, z, even, half):
                    group[met] = k
                    met += 1
            for i in range(top, min(top + WIDE, rows)):
                for j in range(left, min(left + WIDE, columns)):
                    _disc(camera, j * side - 1.0, i * side - 1.0, side + 2.0, disc)
                    x, y, z, even, half = disc[0], disc[1], disc[2], disc[3], disc[4]
                    sizes[i * columns + j, 0] = total
                    last = -1
                    for m in range(met):
                        b = owner[group[m]]
                        if b == last or not _meets(bands, group[m], x, y, z, even, half):
                            continue
                        last = b
                        if total == found.shape[0]:
                            longer = np.empty(2 * total, np.int64)
                            longer[:total] = found
                            found = longer
                        found[total] = b
                        total += 1
                    sizes[i * columns + j, 1] = total
    # In the order of the cells, for they were found group by group.
    begin, which = np.zeros(rows * columns + 1, np.int64), np.empty(total, np.int64)
    for cell in range(rows * columns):
        count = sizes[cell, 1] - sizes[cell, 0]
        begin[cell + 1] = begin[cell] + count
        which[begin[cell] : begin[cell + 1]] = found[sizes[cell, 0] : sizes[cell, 1]]
    return begin, which
