"""Chains of mirrors: from the lamps, over tiles, to the beams that leave for the room."""

from __future__ import annotations

import numpy as np

from glint.kernels.arrays import Beams, Fates, Lamps, OccluderLists, Polygons
from glint.kernels.beams.gather import CHUNKS, chunk_of, collected
from glint.kernels.beams.reflect_and_clip import (
    MOST_WAITING,
    follow,
    has_no_occluders,
    in_the_way,
    narrowed,
    reflect,
    set_aside,
    take_shadows,
    trace_scratch,
)
from glint.kernels.geometry.bounding_cone import bounding_cone
from glint.kernels.geometry.bounding_sphere import LONE, spheres_about
from glint.kernels.geometry.convex_polygon import copy
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.sources.luminous_intensity import window_lumens


@kernel
def _trace(first, last, given, scratch):
    """Follow the light of every CHUNKS-th pair of lamp and polygon, for chunks first to last.

    scratch: of `chain.new_trace_scratch`
    """
    polygons, occluders, spheres, lamps, bounces, floor, rows = uncounted(given)
    scratch = uncounted(scratch)
    lamp_count, polygon_count = lamps.lumens.shape[0], polygons.sides.shape[0]
    pieces, counts, found = scratch.pieces, scratch.counts, scratch.found
    cone, apex, frame = scratch.cone, scratch.apex, scratch.frame
    for chunk in range(first, last):
        mine = chunk_of(rows, chunk)
        failed, fates = mine.failed, mine.fates
        for unit in range(chunk, lamp_count * polygon_count, CHUNKS):
            lamp, tile = unit // polygon_count, unit % polygon_count
            if not polygons.mirror[tile] or failed[0] != 0:
                continue
            lens = lamps.position[lamp]
            height = 0.0
            for k in range(3):
                height += polygons.normals[tile, k] * (lens[k] - polygons.corners[tile, 0, k])
            if height <= 1e-9:
                continue
            sides = polygons.sides[tile]
            copy(polygons.corners[tile], sides, pieces[0])
            counts[0] = sides
            used = np.int64(1)
            if not has_no_occluders(occluders, spheres, tile):
                bounding_cone(lens, 0.0, pieces[0], sides, cone)
                blockers = in_the_way(polygons, occluders, spheres, tile, cone, found)
                blockers = narrowed(polygons, blockers, lens, pieces[0], sides, scratch)
                used = take_shadows(polygons, blockers, lens, used, scratch)
            if used < 0:
                failed[0] = 2
                continue
            depth_floor = floor * lamps.lumens[lamp]
            left = np.int64(0)
            reflect(
                lens,
                lamps.frame[lamp],
                polygons.normals[tile],
                polygons.corners[tile, 0],
                apex,
                frame,
            )
            for p in range(min(used, MOST_WAITING)):
                arriving = window_lumens(lamps, lamp, lens, lamps.frame[lamp], pieces[p], counts[p])
                if arriving == 0.0:
                    continue
                if bounces == 0:
                    fates[3, lamp, 0] += arriving
                    continue
                fates[0, lamp, 1] += arriving
                fates[1, lamp, 1] += arriving * (1.0 - polygons.reflectance[tile])
                kept = polygons.reflectance[tile]
                set_aside(
                    scratch,
                    left,
                    pieces[p],
                    counts[p],
                    apex,
                    frame,
                    kept,
                    arriving,
                    np.int64(1),
                    tile,
                )
                scratch.waiting_whole[left, 3] = tile
                left += 1
            follow(
                polygons,
                occluders,
                spheres,
                lamps,
                lamp,
                bounces,
                depth_floor,
                left,
                scratch,
                mine,
            )


def trace(
    polygons: Polygons,
    occluders: OccluderLists,
    lamps: Lamps,
    bounces: int = 4,
    floor: float = 1e-7,
) -> tuple[Beams, Fates]:
    """Follow every lamp's light over at most `bounces` mirrors (Born & Wolf, section 4.2: a flat
    mirror images a source at its reflection).

    Windows are cut by the shadows of all panels and tiles, seen from the lens centre. floor: the
    share of a lamp's lumens below which a chain is cut off and counted in Fates.cut_off.
    Raises ValueError where a window falls into too many pieces.
    """
    alone = len(occluders.index) == 0 and not polygons.ball.any()
    spheres = LONE if alone else spheres_about(polygons)
    given = (polygons, occluders, spheres, lamps, bounces, floor)
    capacity = 64 + 2 * len(polygons.sides) * len(lamps.lumens) // CHUNKS
    scratch = trace_scratch(len(polygons.sides))
    return collected(_trace, given, len(lamps.lumens), capacity, scratch)
