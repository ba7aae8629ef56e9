"""Light that leaves a body from inside: from small round lamps, through openings, to the room.

A lamp inside is a ball that looks alike from every side. Towards each opening it is taken as the
disc that it looks from the opening's middle, so beams through openings are beams as from a lens.
"""

from __future__ import annotations

import numpy as np

from glint.kernels.arrays import (
    MOST_CORNERS,
    Beams,
    Fates,
    Flags,
    Floats,
    Lamps,
    OccluderLists,
    Polygons,
)
from glint.kernels.beams.gather import CHUNKS, chunk_of, collected
from glint.kernels.beams.reflect_and_clip import (
    MOST_WAITING,
    follow,
    set_aside,
    take_shadows,
    trace_scratch,
)
from glint.kernels.geometry.bounding_cone import bounding_cone, may_meet
from glint.kernels.geometry.bounding_sphere import spheres_about
from glint.kernels.geometry.convex_polygon import cone_planes, copy, inside_cone, keep_side
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.sources.luminous_intensity import window_lumens

WIDEST = 0.85
"""Cosine of the widest angle between a beam's axis and the rim of its window: what is wider is
cut into several beams, as the disc that stands for a lamp is seen askew off the axis."""

SMALLEST_CUT = 1e-4
"""Parts of an opening smaller than this are not cut further, m."""


@kernel
def _axes(lamp, window, count, frame):
    """A frame that looks from a lamp to a window's middle; returns the least cosine of its rim."""
    middle = np.zeros(3)
    for c in range(count):
        for k in range(3):
            middle[k] += (window[c, k] - lamp[k]) / count
    length = np.sqrt((middle * middle).sum())
    if length == 0.0:
        return -1.0
    for k in range(3):
        frame[2, k] = middle[k] / length
    x, y, z = abs(frame[2, 0]), abs(frame[2, 1]), abs(frame[2, 2])
    least = 0 if x <= y and x <= z else (1 if y <= z else 2)
    along = frame[2, least]
    square = 0.0
    for k in range(3):
        frame[0, k] = (1.0 if k == least else 0.0) - along * frame[2, k]
        square += frame[0, k] ** 2
    for k in range(3):
        frame[0, k] /= np.sqrt(square)
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        frame[1, k] = frame[2, i] * frame[0, j] - frame[2, j] * frame[0, i]
    cosine = 1.0
    for c in range(count):
        away = dot = 0.0
        for k in range(3):
            step = window[c, k] - lamp[k]
            away += step * step
            dot += step * frame[2, k]
        cosine = min(cosine, dot / np.sqrt(away) if away > 0.0 else -1.0)
    return cosine


@kernel
def _halve(pieces, counts, p, used, spare):
    """Cut a piece across its longest diagonal; the new half goes to `used`. Returns its size, m."""
    a, b, longest = 0, 0, 0.0
    for i in range(counts[p]):
        for j in range(i + 1, counts[p]):
            square = 0.0
            for k in range(3):
                square += (pieces[p, i, k] - pieces[p, j, k]) ** 2
            if square > longest:
                a, b, longest = i, j, square
    size = np.sqrt(longest)
    if size < SMALLEST_CUT:
        return size
    nx = (pieces[p, b, 0] - pieces[p, a, 0]) / size
    ny = (pieces[p, b, 1] - pieces[p, a, 1]) / size
    nz = (pieces[p, b, 2] - pieces[p, a, 2]) / size
    offset = 0.0
    for c in range(counts[p]):
        x, y, z = pieces[p, c, 0], pieces[p, c, 1], pieces[p, c, 2]
        offset += (nx * x + ny * y + nz * z) / counts[p]
    copy(pieces[p], counts[p], spare)
    count = counts[p]
    counts[used] = keep_side(spare, count, nx, ny, nz, offset, 1.0, pieces[used])
    counts[p] = keep_side(spare, count, nx, ny, nz, offset, -1.0, pieces[p])
    return size


@kernel
def _narrow(lamp, pieces, counts, used, frame, spare):
    """Cut pieces until each is seen within WIDEST of its middle; returns how many there are."""
    p = 0
    while p < used:
        if (
            used == pieces.shape[0]
            or _axes(lamp, pieces[p], counts[p], frame) >= WIDEST
            or _halve(pieces, counts, p, used, spare) < SMALLEST_CUT
        ):
            p += 1
        else:
            used += 1
    return used


@kernel
def _is_convex(ring, count, normal):
    """Whether a flat ring turns the same way at every corner."""
    for i in range(count):
        j, k = (i + 1) % count, (i + 2) % count
        ax, ay, az = ring[j, 0] - ring[i, 0], ring[j, 1] - ring[i, 1], ring[j, 2] - ring[i, 2]
        bx, by, bz = ring[k, 0] - ring[j, 0], ring[k, 1] - ring[j, 1], ring[k, 2] - ring[j, 2]
        turn = (
            normal[0] * (ay * bz - az * by)
            + normal[1] * (az * bx - ax * bz)
            + normal[2] * (ax * by - ay * bx)
        )
        if turn < -1e-12:
            return False
    return True


@kernel
def _flattened(polygons, opening, place, scratch):
    """A ring that is not flat, projected from a place onto the plane through its middle, as a
    convex piece, or as triangles about its middle: how many pieces."""
    pieces, counts, ring = scratch.pieces, scratch.counts, scratch.result
    sides, normal, middle = polygons.sides[opening], polygons.normals[opening], np.zeros(3)
    for c in range(sides):
        for k in range(3):
            middle[k] += polygons.corners[opening, c, k] / sides
    level = 0.0
    for k in range(3):
        level += normal[k] * (middle[k] - place[k])
    for c in range(sides):
        height = 0.0
        for k in range(3):
            height += normal[k] * (polygons.corners[opening, c, k] - place[k])
        if height * level <= 0.0:
            return 0
        for k in range(3):
            step = polygons.corners[opening, c, k] - place[k]
            ring[c, k] = place[k] + level / height * step
    if _is_convex(ring, sides, normal):
        copy(ring, sides, pieces[0])
        counts[0] = sides
        return 1
    for c in range(sides):
        for k in range(3):
            pieces[c, 0, k] = middle[k]
            pieces[c, 1, k] = ring[c, k]
            pieces[c, 2, k] = ring[(c + 1) % sides, k]
        counts[c] = 3
    return sides


@kernel
def seen_through(polygons, rims, flat, opening, solid, place, side, scratch):
    """An opening as seen from a place, as convex flat pieces on the scratch: how many.

    side: 1 from outside, -1 from inside. What a ring that is not flat lets through depends on its
    rim alone, so it is projected onto a plane, which is exact for light to or from the place.
    """
    pieces, counts = scratch.pieces, scratch.counts
    sides = polygons.sides[opening]
    height = 0.0
    for k in range(3):
        height += polygons.normals[opening, k] * (place[k] - polygons.corners[opening, 0, k])
    if not flat[opening - solid]:
        height = 0.0
        for c in range(sides):
            for k in range(3):
                step = place[k] - polygons.corners[opening, c, k]
                height += polygons.normals[opening, k] * step / sides
    if side * height <= 1e-9:
        return 0
    if not flat[opening - solid]:
        return _flattened(polygons, opening, place, scratch)
    for c in range(sides):
        for k in range(3):
            scratch.result[c, k] = polygons.corners[opening, c, k]
            scratch.clipped[0, c, k] = rims[opening - solid, c, k]
    if not cone_planes(place, scratch.clipped[0], sides, scratch.planes):
        return 0
    count = inside_cone(
        scratch.result, sides, place, scratch.planes, sides, pieces[0], scratch.spare
    )
    counts[0] = count
    return 1 if count > 0 else 0


@kernel
def _window(polygons, rims, flat, opening, lamp, solid, convex, spheres, scratch):
    """The parts of an opening that a lamp sees from inside, in the scratch's pieces: how many.

    -1 where there are too many.
    """
    used = seen_through(polygons, rims, flat, opening, solid, lamp, -1.0, scratch)
    if used == 0:
        return 0
    if convex:
        return used
    bounding_cone(lamp, 0.0, polygons.corners[opening], polygons.sides[opening], scratch.cone)
    blockers = 0
    for j in range(solid):
        s = spheres.polygon[j]
        if not polygons.mirror[j] and may_meet(scratch.cone, s[0], s[1], s[2], s[3]):
            scratch.found[blockers] = j
            blockers += 1
    return take_shadows(polygons, blockers, lamp, used, scratch)


@kernel
def _leave(first, last, given, scratch):
    """Follow every CHUNKS-th pair of lamp and opening, for chunks first to last.

    through: (CHUNKS, l) float, written: lumens of each lamp that come to an opening; scratch: of
    `chain.new_trace_scratch`
    """
    body, occluders, spheres, lamps, solid, convex, bounces, floor, through, rows = uncounted(given)
    polygons, rims, flat = body
    lamp_count, opening_count = lamps.lumens.shape[0], polygons.sides.shape[0] - solid
    frame = np.empty((3, 3))
    scratch = uncounted(scratch)
    pieces, counts = scratch.pieces, scratch.counts
    for chunk in range(first, last):
        mine = chunk_of(rows, chunk)
        through[chunk] = 0.0
        for unit in range(chunk, lamp_count * opening_count, CHUNKS):
            lamp, opening = unit // opening_count, solid + unit % opening_count
            place = lamps.position[lamp]
            used = _window(polygons, rims, flat, opening, place, solid, convex, spheres, scratch)
            if used > 0:
                used = _narrow(place, pieces, counts, used, frame, scratch.spare)
            if used < 0 or used > MOST_WAITING or mine.failed[0] == 2:
                mine.failed[0] = 2
                break
            left = np.int64(0)
            for p in range(used):
                _axes(place, pieces[p], counts[p], frame)
                passing = window_lumens(lamps, lamp, place, frame, pieces[p], counts[p])
                if passing == 0.0:
                    continue
                through[chunk, lamp] += passing
                set_aside(
                    scratch,
                    left,
                    pieces[p],
                    counts[p],
                    place,
                    frame,
                    1.0,
                    passing,
                    np.int64(0),
                    opening,
                )
                left += 1
            follow(
                polygons,
                occluders,
                spheres,
                lamps,
                lamp,
                bounces,
                floor * lamps.lumens[lamp],
                left,
                scratch,
                mine,
            )


def leave(
    polygons: Polygons,
    rims: Floats,
    flat: Flags,
    occluders: OccluderLists,
    lamps: Lamps,
    convex: bool,
    bounces: int = 4,
    floor: float = 1e-7,
) -> tuple[Beams, Fates, Floats]:
    """Follow the light of lamps inside one body out of its openings, and over the tiles outside.

    polygons: panels and tiles, then the openings, of one ball, with their `occluders` lists.
    rims: (o, V, 3) float, m, what light must pass on its way to each opening; flat: (o,) bool; see
    `shape.openings.Openings`. convex: no panel can stand between a lamp and an opening.
    Returns beams, fates, and the lumens of each lamp that come to the openings, (l,) float. Light
    that meets no mirror has bounces 0. Raises ValueError where an opening falls into too many
    pieces.
    """
    solid = len(polygons.sides) - len(rims)
    wide = np.zeros((len(rims), MOST_CORNERS, 3))
    wide[:, : rims.shape[1]] = rims
    count = len(lamps.lumens)
    through = np.zeros((CHUNKS, count))
    body, spheres = (polygons, wide, flat), spheres_about(polygons)
    given = (body, occluders, spheres, lamps, solid, convex, bounces, floor, through)
    capacity, scratch = 64 + 2 * len(rims) * count // CHUNKS, trace_scratch(len(polygons.sides))
    found, fates = collected(_leave, given, count, capacity, scratch)
    return found, fates, through.sum(axis=0)
