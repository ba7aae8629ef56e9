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
    Floats,
    Integers,
    Lamps,
    Polygons,
)
from glint.optics.candela import window_lumens
from glint.optics.chain import (
    MOST_PIECES,
    MOST_WAITING,
    Rows,
    bench,
    follow,
    in_the_way,
    reflect,
)
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone
from glint.optics.polygon import copy
from glint.optics.shadow import subtract_shadow
from glint.optics.spheres import spheres_about

CHUNKS = 32


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
        desk = bench(polygon_count)
        rows = Rows(
            whole[chunk],
            parts[chunk],
            windows[chunk],
            made[chunk : chunk + 1],
            failed[chunk : chunk + 1],
            fates[chunk],
        )
        pieces, counts, work, spare = desk.pieces, desk.counts, desk.work, desk.spare
        found, cone, apex, frame = desk.found, desk.cone, desk.apex, desk.frame
        waiting, waiting_part, waiting_whole = desk.waiting, desk.waiting_part, desk.waiting_whole
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
            blockers = in_the_way(polygons, facing, spheres, first, cone, found)
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
            reflect(
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
            follow(
                polygons,
                facing,
                spheres,
                lamps,
                lamp,
                bounces,
                depth_floor,
                left,
                desk,
                rows,
            )
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
    return gathered(whole, parts, windows, made), total_fates(fates)


def gathered(whole: Integers, parts: Floats, windows: Floats, made: Integers) -> Beams:
    """The beams that all workers found, in the order of the work."""
    keep = [(c, slice(0, int(made[c]))) for c in range(CHUNKS)]
    rows = np.concatenate([whole[c, s] for c, s in keep])
    values = np.concatenate([parts[c, s] for c, s in keep])
    return Beams(
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


def total_fates(fates: Floats) -> Fates:
    """The fates that all workers counted."""
    total = fates.sum(axis=0)
    return Fates(total[0], total[1], total[2], total[3])
