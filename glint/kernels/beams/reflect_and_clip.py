"""What becomes of light on its way: the next mirrors of each beam, and what leaves for the room."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import LONGEST_CHAIN, MOST_CORNERS, Floats, Integers
from glint.kernels.beams.shadow_volumes import BEFORE, BEYOND, front_part, subtract_shadow
from glint.kernels.geometry.bounding_cone import bounding_cone, may_meet
from glint.kernels.geometry.convex_polygon import cone_planes, copy, inside_cone, misses_cone
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import scratch_of
from glint.kernels.sources.luminous_intensity import window_lumens

MOST_PIECES = 1024
MOST_WAITING = 2048


class TraceScratch(NamedTuple):
    """What one worker writes on while it follows light; `new_trace_scratch` makes one.

    pieces, counts: parts of a window; work, planes, result, spare, found, clipped, clipped_count,
    cone, apex, frame: for one step. window, source, axes, chain: what is being followed. waiting,
    waiting_part, waiting_whole: light still to be followed, a row each: window; apex, frame, share,
    lumens without mirrors' losses; corners, mirrors so far, the polygon it leaves, chain.
    """

    pieces: Floats
    counts: Integers
    work: Floats
    planes: Floats
    result: Floats
    spare: Floats
    found: Integers
    clipped: Floats
    clipped_count: Integers
    cone: Floats
    apex: Floats
    frame: Floats
    window: Floats
    source: Floats
    axes: Floats
    chain: Integers
    waiting: Floats
    waiting_part: Floats
    waiting_whole: Integers


@kernel
def new_trace_scratch(polygon_count):
    return TraceScratch(
        np.empty((MOST_PIECES, MOST_CORNERS, 3)),
        np.empty(MOST_PIECES, np.int64),
        np.empty((4, MOST_CORNERS, 3)),
        np.empty((MOST_CORNERS, 3)),
        np.empty((MOST_CORNERS, 3)),
        np.empty((MOST_CORNERS, 3)),
        np.empty(polygon_count, np.int64),
        np.empty((64, MOST_CORNERS, 3)),
        np.empty(polygon_count, np.int64),
        np.empty(8),
        np.empty(3),
        np.empty((3, 3)),
        np.empty((MOST_CORNERS, 3)),
        np.empty(3),
        np.empty((3, 3)),
        np.empty(LONGEST_CHAIN, np.int64),
        np.empty((MOST_WAITING, MOST_CORNERS, 3)),
        np.empty((MOST_WAITING, 14)),
        np.empty((MOST_WAITING, 3 + LONGEST_CHAIN), np.int64),
    )


def trace_scratch(polygon_count: int) -> Callable[[], TraceScratch]:
    """What gives each thread a new_trace_scratch of its own, for `share_out`."""
    return lambda: scratch_of(new_trace_scratch, polygon_count)


@kernel
def reflect(apex, frame, normal, anchor, new_apex, new_frame):
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
def has_no_occluders(occluders, spheres, tile):
    """Whether nothing can ever be in the way of a tile, as on a convex body that hangs alone."""
    return spheres.ball.shape[0] == 1 and occluders.start[tile] == occluders.start[tile + 1]


@kernel
def in_the_way(polygons, occluders, spheres, tile, cone, found):
    """Polygons that may meet a cone from a tile: of its own ball, then of the others."""
    number = 0
    for n in range(occluders.start[tile], occluders.start[tile + 1]):
        j = occluders.index[n]
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


@kernel
def narrowed(polygons, number, apex, window, count, scratch):
    """Of the first `number` polygons found keep those that may stand in the cone from a point
    through a window; returns their number. If there are any, the planes of that cone are left in
    scratch.planes."""
    if number == 0 or not cone_planes(apex, window, count, scratch.planes):
        return number
    kept = 0
    for n in range(number):
        j = scratch.found[n]
        if not misses_cone(apex, scratch.planes, count, polygons.corners[j], polygons.sides[j]):
            scratch.found[kept] = j
            kept += 1
    return kept


@kernel
def set_aside(scratch, row, window, count, apex, frame, share, lumens, depth, leaves):
    """Put light by in a row of what waits to be followed; see TraceScratch. Its chain is empty."""
    part, whole = scratch.waiting_part[row], scratch.waiting_whole[row]
    copy(window, count, scratch.waiting[row])
    for k in range(3):
        part[k] = apex[k]
        for m in range(3):
            part[3 + 3 * k + m] = frame[k, m]
    part[12], part[13] = share, lumens
    whole[0], whole[1], whole[2] = count, depth, leaves
    for k in range(LONGEST_CHAIN):
        whole[3 + k] = -1


@kernel
def take_shadows(polygons, blockers, apex, used, scratch):
    """Take the shadows of the first `blockers` of the polygons found, all of them in front, out of
    the first `used` pieces; returns the pieces that are left, or TOO_MANY."""
    for n in range(blockers):
        j = scratch.found[n]
        copy(polygons.corners[j], polygons.sides[j], scratch.spare)
        used = subtract_shadow(
            scratch.pieces,
            scratch.counts,
            used,
            apex,
            scratch.spare,
            polygons.sides[j],
            BEFORE,
            scratch.work,
        )
        if used <= 0:
            break
    return used


@kernel
def follow(polygons, occluders, spheres, lamps, lamp, bounces, depth_floor, left, scratch, rows):
    """Follow the first `left` rows of waiting light of one lamp, and all that comes of them."""
    pieces, counts, work, planes, result, spare = (
        scratch.pieces,
        scratch.counts,
        scratch.work,
        scratch.planes,
        scratch.result,
        scratch.spare,
    )
    found, clipped, clipped_count, cone = (
        scratch.found,
        scratch.clipped,
        scratch.clipped_count,
        scratch.cone,
    )
    apex, frame = scratch.apex, scratch.frame
    window, source, axes, chain = scratch.window, scratch.source, scratch.axes, scratch.chain
    waiting, waiting_part, waiting_whole = (
        scratch.waiting,
        scratch.waiting_part,
        scratch.waiting_whole,
    )
    whole, parts, windows, made, failed, fates = rows
    capacity = whole.shape[0]
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
        copy(waiting[top], count, window)
        for k in range(LONGEST_CHAIN):
            chain[k] = waiting_whole[top, 3 + k]
        for k in range(3):
            source[k] = waiting_part[top, k]
            for m in range(3):
                axes[k, m] = waiting_part[top, 3 + 3 * k + m]
        met = np.int64(0)
        if not has_no_occluders(occluders, spheres, tile):
            bounding_cone(source, 0.0, window, count, cone)
            met = in_the_way(polygons, occluders, spheres, tile, cone, found)
            met = narrowed(polygons, met, source, window, count, scratch)
        if met > clipped.shape[0]:
            clipped = np.empty((2 * met, MOST_CORNERS, 3))
        # What truly stands in the beam: in front of the tile and inside the cone.
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
            inner = inside_cone(result, part, source, planes, count, clipped[standing], spare)
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
            used = np.int64(1)
            for m in range(standing):
                if m != n and used > 0:
                    used = subtract_shadow(
                        pieces,
                        counts,
                        used,
                        source,
                        clipped[m],
                        clipped_count[m],
                        BEFORE,
                        work,
                    )
            if used < 0:
                failed[0] = 2
                break
            reflect(source, axes, polygons.normals[j], polygons.corners[j, 0], apex, frame)
            for p in range(used):
                onward = window_lumens(lamps, lamp, source, axes, pieces[p], counts[p])
                gone += onward
                arriving = share * onward
                if depth >= bounces or arriving < depth_floor:
                    fates[3, lamp, depth] += arriving
                    continue
                if left == MOST_WAITING:
                    failed[0] = 2
                    break
                fates[0, lamp, depth + 1] += arriving
                fates[1, lamp, depth + 1] += arriving * (1.0 - polygons.reflectance[j])
                kept = share * polygons.reflectance[j]
                set_aside(
                    scratch, left, pieces[p], counts[p], apex, frame, kept, onward, depth + 1, j
                )
                for k in range(LONGEST_CHAIN):
                    waiting_whole[left, 3 + k] = chain[k]
                waiting_whole[left, 3 + depth] = j
                left += 1
        copy(window, count, pieces[0])
        counts[0] = count
        used = np.int64(1)
        for n in range(standing):
            if used > 0:
                used = subtract_shadow(
                    pieces,
                    counts,
                    used,
                    source,
                    clipped[n],
                    clipped_count[n],
                    BEYOND,
                    work,
                )
        if used < 0:
            failed[0] = 2
            break
        for p in range(used):
            onward = passing
            if standing > 0:
                onward = window_lumens(lamps, lamp, source, axes, pieces[p], counts[p])
            gone += onward
            if onward == 0.0:
                continue
            row = made[0]
            made[0] += 1
            if row >= capacity:
                failed[0] = max(failed[0], 1)
                continue
            whole[row, 0] = lamp
            whole[row, 1] = polygons.ball[tile]
            whole[row, 2] = depth
            whole[row, 3] = counts[p]
            for k in range(LONGEST_CHAIN):
                whole[row, 4 + k] = chain[k]
            for k in range(3):
                parts[row, k] = source[k]
                for m in range(3):
                    parts[row, 3 + 3 * k + m] = axes[k, m]
            parts[row, 12] = share
            parts[row, 13] = share * onward
            for c in range(counts[p]):
                for k in range(3):
                    windows[row, c, k] = pieces[p, c, k]
        fates[2, lamp, depth] += share * (passing - gone)
