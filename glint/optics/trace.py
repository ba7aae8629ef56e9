"""Chains of mirrors: from the lamps, over tiles, to the beams that leave for the room."""

from __future__ import annotations

import numpy as np
from numba import prange

from glint.optics.arrays import (
    LONGEST_CHAIN,
    MOST_CORNERS,
    Beams,
    Facing,
    Fates,
    Lamps,
    Polygons,
)
from glint.optics.candela import window_lumens
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone, may_meet
from glint.optics.polygon import cone_planes, copy, inside_cone
from glint.optics.shadow import front_part, subtract_shadow
from glint.optics.spheres import spheres_about

CHUNKS = 32
MOST_PIECES = 1024
MOST_WAITING = 2048


@kernel
def _reflect(apex, frame, normal, anchor, new_apex, new_frame):
    height = 0.0
    for k in range(3):
        height += normal[k] * (apex[k] - anchor[k])
    for k in range(3):
        new_apex[k] = apex[k] - 2.0 * height * normal[k]
    for r in range(3):
        along = 0.0
        for k in range(3):
            along += frame[r, k] * normal[k]
        for k in range(3):
            new_frame[r, k] = frame[r, k] - 2.0 * along * normal[k]


@kernel
def _in_the_way(polygons, facing, spheres, tile, cone, found):
    """Polygons that may meet a cone from a tile: of its own ball, then of the others."""
    number = 0
    for n in range(facing.start[tile], facing.start[tile + 1]):
        j = facing.index[n]
        s = spheres.polygon[j]
        if may_meet(cone, s[0], s[1], s[2], s[3]):
            found[number] = j
            number += 1
    for b in range(spheres.ball.shape[0]):
        s = spheres.ball[b]
        if b == polygons.ball[tile] or not may_meet(cone, s[0], s[1], s[2], s[3]):
            continue
        for j in range(spheres.start[b], spheres.start[b + 1]):
            s = spheres.polygon[j]
            if may_meet(cone, s[0], s[1], s[2], s[3]):
                found[number] = j
                number += 1
    return number


@kernel(parallel=True)
def _trace(polygons, facing, spheres, lamps, bounces, floor, capacity):
    lamp_count, polygon_count = lamps.lumens.shape[0], polygons.sides.shape[0]
    units = lamp_count * polygon_count
    # One row of output a chunk; which thread runs a chunk does not matter.
    whole = np.empty((CHUNKS, capacity, 4 + LONGEST_CHAIN), np.int64)
    parts = np.empty((CHUNKS, capacity, 14), np.float64)
    windows = np.empty((CHUNKS, capacity, MOST_CORNERS, 3), np.float64)
    made = np.zeros(CHUNKS, np.int64)
    failed = np.zeros(CHUNKS, np.int64)
    fates = np.zeros((CHUNKS, 4, lamp_count, LONGEST_CHAIN + 1))
    for chunk in prange(CHUNKS):
        pieces = np.empty((MOST_PIECES, MOST_CORNERS, 3))
        counts = np.empty(MOST_PIECES, np.int64)
        work = np.empty((5, MOST_CORNERS, 3))
        planes, result, spare = (
            np.empty((MOST_CORNERS, 3)),
            np.empty((MOST_CORNERS, 3)),
            np.empty((MOST_CORNERS, 3)),
        )
        found = np.empty(polygon_count, np.int64)
        clipped = np.empty((64, MOST_CORNERS, 3))
        clipped_count = np.empty(polygon_count, np.int64)
        cone = np.empty(8)
        waiting = np.empty((MOST_WAITING, MOST_CORNERS, 3))
        waiting_part = np.empty((MOST_WAITING, 14))
        waiting_whole = np.empty((MOST_WAITING, 3 + LONGEST_CHAIN), np.int64)
        apex, frame = np.empty(3), np.empty((3, 3))
        # Units are dealt out like cards, so that lit and unlit sides are shared evenly.
        for unit in range(chunk, units, CHUNKS):
            lamp, first = unit // polygon_count, unit % polygon_count
            if not polygons.mirror[first] or failed[chunk] != 0:
                continue
            lens = lamps.position[lamp]
            height = 0.0
            for k in range(3):
                height += polygons.normals[first, k] * (lens[k] - polygons.corners[first, 0, k])
            if height <= 1e-9:
                continue
            sides = polygons.sides[first]
            for c in range(sides):
                for k in range(3):
                    pieces[0, c, k] = polygons.corners[first, c, k]
            counts[0] = sides
            used = 1
            bounding_cone(lens, 0.0, pieces[0], sides, cone)
            blockers = _in_the_way(polygons, facing, spheres, first, cone, found)
            for n in range(blockers):
                j = found[n]
                for c in range(polygons.sides[j]):
                    for k in range(3):
                        spare[c, k] = polygons.corners[j, c, k]
                used = subtract_shadow(
                    pieces, counts, used, lens, spare, polygons.sides[j], True, work
                )
                if used <= 0:
                    break
            if used < 0:
                failed[chunk] = 2
                continue
            depth_floor = floor * lamps.lumens[lamp]
            left = 0
            _reflect(
                lens,
                lamps.frame[lamp],
                polygons.normals[first],
                polygons.corners[first, 0],
                apex,
                frame,
            )
            for p in range(min(used, MOST_WAITING)):
                arriving = window_lumens(lamps, lamp, lens, lamps.frame[lamp], pieces[p], counts[p])
                if arriving == 0.0:
                    continue
                if bounces == 0:
                    fates[chunk, 3, lamp, 0] += arriving
                    continue
                fates[chunk, 0, lamp, 1] += arriving
                fates[chunk, 1, lamp, 1] += arriving * (1.0 - polygons.reflectance[first])
                copy(pieces[p], counts[p], waiting[left])
                for k in range(3):
                    waiting_part[left, k] = apex[k]
                    for m in range(3):
                        waiting_part[left, 3 + 3 * k + m] = frame[k, m]
                waiting_part[left, 12] = polygons.reflectance[first]
                waiting_part[left, 13] = arriving
                waiting_whole[left, 0] = counts[p]
                waiting_whole[left, 1] = 1
                waiting_whole[left, 2] = first
                for k in range(LONGEST_CHAIN):
                    waiting_whole[left, 3 + k] = -1
                waiting_whole[left, 3] = first
                left += 1
            while left > 0:
                left -= 1
                top = left
                count, depth, tile = (
                    waiting_whole[top, 0],
                    waiting_whole[top, 1],
                    waiting_whole[top, 2],
                )
                share, passing = waiting_part[top, 12], waiting_part[top, 13]
                if share == 0.0:
                    continue
                window = waiting[top].copy()
                chain = waiting_whole[top, 3:].copy()
                source = waiting_part[top, :3].copy()
                axes = waiting_part[top, 3:12].copy().reshape(3, 3)
                bounding_cone(source, 0.0, window, count, cone)
                met = _in_the_way(polygons, facing, spheres, tile, cone, found)
                if met > clipped.shape[0]:
                    clipped = np.empty((2 * met, MOST_CORNERS, 3))
                # What truly stands in the beam: in front of the tile and inside the cone.
                cone_planes(source, window, count, planes)
                standing = 0
                for n in range(met):
                    j = found[n]
                    for c in range(polygons.sides[j]):
                        for k in range(3):
                            spare[c, k] = polygons.corners[j, c, k]
                    part = front_part(
                        spare,
                        polygons.sides[j],
                        polygons.normals[tile],
                        polygons.corners[tile, 0],
                        result,
                    )
                    if part == 0:
                        continue
                    inner = inside_cone(
                        result, part, source, planes, count, clipped[standing], spare
                    )
                    if inner > 0:
                        found[standing] = j
                        clipped_count[standing] = inner
                        standing += 1
                gone = 0.0
                for n in range(standing):
                    j = found[n]
                    behind = 0.0
                    for k in range(3):
                        behind += polygons.normals[j, k] * (source[k] - polygons.corners[j, 0, k])
                    if not polygons.mirror[j] or behind <= 1e-9:
                        continue
                    copy(clipped[n], clipped_count[n], pieces[0])
                    counts[0] = clipped_count[n]
                    used = 1
                    for m in range(standing):
                        if m != n and used > 0:
                            used = subtract_shadow(
                                pieces,
                                counts,
                                used,
                                source,
                                clipped[m],
                                clipped_count[m],
                                True,
                                work,
                            )
                    if used < 0:
                        failed[chunk] = 2
                        break
                    _reflect(source, axes, polygons.normals[j], polygons.corners[j, 0], apex, frame)
                    for p in range(used):
                        onward = window_lumens(lamps, lamp, source, axes, pieces[p], counts[p])
                        gone += onward
                        arriving = share * onward
                        if depth >= bounces or arriving < depth_floor:
                            fates[chunk, 3, lamp, depth] += arriving
                            continue
                        if left == MOST_WAITING:
                            failed[chunk] = 2
                            break
                        fates[chunk, 0, lamp, depth + 1] += arriving
                        fates[chunk, 1, lamp, depth + 1] += arriving * (
                            1.0 - polygons.reflectance[j]
                        )
                        copy(pieces[p], counts[p], waiting[left])
                        for k in range(3):
                            waiting_part[left, k] = apex[k]
                            for m in range(3):
                                waiting_part[left, 3 + 3 * k + m] = frame[k, m]
                        waiting_part[left, 12] = share * polygons.reflectance[j]
                        waiting_part[left, 13] = onward
                        waiting_whole[left, 0] = counts[p]
                        waiting_whole[left, 1] = depth + 1
                        waiting_whole[left, 2] = j
                        for k in range(LONGEST_CHAIN):
                            waiting_whole[left, 3 + k] = chain[k]
                        waiting_whole[left, 3 + depth] = j
                        left += 1
                copy(window, count, pieces[0])
                counts[0] = count
                used = 1
                for n in range(standing):
                    if used > 0:
                        used = subtract_shadow(
                            pieces,
                            counts,
                            used,
                            source,
                            clipped[n],
                            clipped_count[n],
                            False,
                            work,
                        )
                if used < 0:
                    failed[chunk] = 2
                    break
                for p in range(used):
                    onward = passing
                    if standing > 0:
                        onward = window_lumens(lamps, lamp, source, axes, pieces[p], counts[p])
                    gone += onward
                    if onward == 0.0:
                        continue
                    row = made[chunk]
                    made[chunk] += 1
                    if row >= capacity:
                        failed[chunk] = max(failed[chunk], 1)
                        continue
                    whole[chunk, row, 0] = lamp
                    whole[chunk, row, 1] = polygons.ball[tile]
                    whole[chunk, row, 2] = depth
                    whole[chunk, row, 3] = counts[p]
                    for k in range(LONGEST_CHAIN):
                        whole[chunk, row, 4 + k] = chain[k]
                    for k in range(3):
                        parts[chunk, row, k] = source[k]
                        for m in range(3):
                            parts[chunk, row, 3 + 3 * k + m] = axes[k, m]
                    parts[chunk, row, 12] = share
                    parts[chunk, row, 13] = share * onward
                    for c in range(counts[p]):
                        for k in range(3):
                            windows[chunk, row, c, k] = pieces[p, c, k]
                fates[chunk, 2, lamp, depth] += share * (passing - gone)
    return whole, parts, windows, made, failed, fates


def trace(
    polygons: Polygons,
    facing: Facing,
    lamps: Lamps,
    bounces: int = 4,
    floor: float = 1e-7,
) -> tuple[Beams, Fates]:
    """Follow every lamp's light over at most `bounces` mirrors (Born & Wolf, section 4.2: a flat
    mirror images a source at its reflection).

    Windows are cut by the shadows of all panels and tiles, seen from the lens centre. floor: the
    share of a lamp's lumens below which a chain is cut off and counted in Fates.cut_off.
    Raises ValueError where a window falls into more than MOST_PIECES pieces.
    """
    spheres = spheres_about(polygons)
    units = len(polygons.sides) * len(lamps.lumens)
    capacity = 64 + 2 * units // CHUNKS
    while True:
        whole, parts, windows, made, failed, fates = _trace(
            polygons, facing, spheres, lamps, bounces, floor, capacity
        )
        if (failed == 2).any():
            raise ValueError(f"a window falls into more than {MOST_PIECES} pieces")
        if not (failed == 1).any():
            break
        capacity = int(made.max()) + 1
    keep = [(c, slice(0, int(made[c]))) for c in range(CHUNKS)]
    rows = np.concatenate([whole[c, s] for c, s in keep])
    values = np.concatenate([parts[c, s] for c, s in keep])
    beams = Beams(
        lamp=np.ascontiguousarray(rows[:, 0]),
        ball=np.ascontiguousarray(rows[:, 1]),
        bounces=np.ascontiguousarray(rows[:, 2]),
        chain=np.ascontiguousarray(rows[:, 4:]),
        apex=np.ascontiguousarray(values[:, :3]),
        frame=np.ascontiguousarray(values[:, 3:12]).reshape(-1, 3, 3),
        window=np.concatenate([windows[c, s] for c, s in keep]),
        sides=np.ascontiguousarray(rows[:, 3]),
        share=np.ascontiguousarray(values[:, 12]),
        lumens=np.ascontiguousarray(values[:, 13]),
    )
    total = fates.sum(axis=0)
    return beams, Fates(total[0], total[1], total[2], total[3])
