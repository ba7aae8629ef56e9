"""Chains of mirrors: from the lamps, over tiles, to the beams that leave for the room."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Beams, Facing, Fates, Lamps, Polygons
from glint.optics.borrow import borrowed
from glint.optics.candela import window_lumens
from glint.optics.chain import (
    MOST_WAITING,
    benches,
    faces_nothing,
    follow,
    in_the_way,
    narrowed,
    reflect,
    set_aside,
    take_shadows,
)
from glint.optics.collect import CHUNKS, chunk_of, collected
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone
from glint.optics.polygon import copy
from glint.optics.spheres import LONE, spheres_about


@kernel
def _trace(first, last, given, desk):
    """Follow the light of every CHUNKS-th pair of lamp and polygon, for chunks first to last.

    desk: of `chain.bench`
    """
    polygons, facing, spheres, lamps, bounces, floor, rows = borrowed(given)
    desk = borrowed(desk)
    lamp_count, polygon_count = lamps.lumens.shape[0], polygons.sides.shape[0]
    pieces, counts, found = desk.pieces, desk.counts, desk.found
    cone, apex, frame = desk.cone, desk.apex, desk.frame
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
            if not faces_nothing(facing, spheres, tile):
                bounding_cone(lens, 0.0, pieces[0], sides, cone)
                blockers = in_the_way(polygons, facing, spheres, tile, cone, found)
                blockers = narrowed(polygons, blockers, lens, pieces[0], sides, desk)
                used = take_shadows(polygons, blockers, lens, used, desk)
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
                    desk, left, pieces[p], counts[p], apex, frame, kept, arriving, np.int64(1), tile
                )
                desk.waiting_whole[left, 3] = tile
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
                mine,
            )


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
    Raises ValueError where a window falls into too many pieces.
    """
    alone = len(facing.index) == 0 and not polygons.ball.any()
    spheres = LONE if alone else spheres_about(polygons)
    given = (polygons, facing, spheres, lamps, bounces, floor)
    capacity = 64 + 2 * len(polygons.sides) * len(lamps.lumens) // CHUNKS
    desk = benches(len(polygons.sides))
    return collected(_trace, given, len(lamps.lumens), capacity, desk)
