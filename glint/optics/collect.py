"""What workers find, put together in the order of the work, whoever did which part of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from glint.optics.arrays import LONGEST_CHAIN, MOST_CORNERS, Beams, Fates, Floats, Integers
from glint.optics.compile import kernel
from glint.optics.threads import desk_of, share_out

CHUNKS = 32
"""Parts that work is dealt into like cards, so that easy and hard work is shared evenly."""


class Rows(NamedTuple):
    """Where one worker puts what it found in one chunk of the work.

    whole: (n, 4 + LONGEST_CHAIN) int; parts: (n, 14) float; windows: (n, MOST_CORNERS, 3) float:
    beams. made: (1,) int, of them, more than n where there was no room. failed: (1,) int, 1 where
    there was no room, 2 where a window fell into too many pieces. fates: (4, l, LONGEST_CHAIN + 1)
    float, as in Fates
    """

    whole: Integers
    parts: Floats
    windows: Floats
    made: Integers
    failed: Integers
    fates: Floats


@kernel
def chunk_of(rows, chunk):
    """The place of one chunk in the arrays of all chunks."""
    return Rows(
        rows.whole[chunk],
        rows.parts[chunk],
        rows.windows[chunk],
        rows.made[chunk : chunk + 1],
        rows.failed[chunk : chunk + 1],
        rows.fates[chunk],
    )


MOST_KEPT = 2048
"""Beams of a chunk for which room is kept from call to call: 42 MB in all."""


def _room(capacity: int, lamps: int) -> Rows:
    return Rows(
        np.empty((CHUNKS, capacity, 4 + LONGEST_CHAIN), np.int64),
        np.empty((CHUNKS, capacity, 14)),
        np.empty((CHUNKS, capacity, MOST_CORNERS, 3)),
        np.empty(CHUNKS, np.int64),
        np.empty(CHUNKS, np.int64),
        np.empty((CHUNKS, 4, lamps, LONGEST_CHAIN + 1)),
    )


def collected(
    work: Callable[..., object],
    given: tuple,
    lamps: int,
    capacity: int,
    desk: Callable[[], Any],
) -> tuple[Beams, Fates]:
    """All that work(first, last, (*given, rows), desk) finds in its chunks from first to last.

    rows: those of all chunks; `chunk_of` takes one's. lamps: how many. capacity: beams that one
    chunk is likely to make; where there are more, the work is done again with room for them.
    desk: see `share_out`. Raises ValueError where a window falls into too many pieces.
    """
    while True:
        small = capacity <= MOST_KEPT
        rows = desk_of(_room, capacity, lamps) if small else _room(capacity, lamps)
        for part in (rows.made, rows.failed, rows.fates):
            part[...] = 0
        share_out(CHUNKS, work, (*given, rows), stretches=1, desk=desk)
        if (rows.failed == 2).any():
            raise ValueError("a window falls into too many pieces")
        if not (rows.failed == 1).any():
            return _beams(rows), Fates(*rows.fates.sum(axis=0))
        capacity = int(rows.made.max()) + 1


def _beams(rows: Rows) -> Beams:
    keep = [(c, slice(0, int(rows.made[c]))) for c in range(CHUNKS)]
    numbers = np.concatenate([rows.whole[c, s] for c, s in keep])
    values = np.concatenate([rows.parts[c, s] for c, s in keep])
    return Beams(
        lamp=np.ascontiguousarray(numbers[:, 0]),
        ball=np.ascontiguousarray(numbers[:, 1]),
        bounces=np.ascontiguousarray(numbers[:, 2]),
        chain=np.ascontiguousarray(numbers[:, 4:]),
        apex=np.ascontiguousarray(values[:, :3]),
        frame=np.ascontiguousarray(values[:, 3:12]).reshape(-1, 3, 3),
        window=np.concatenate([rows.windows[c, s] for c, s in keep]),
        sides=np.ascontiguousarray(numbers[:, 3]),
        share=np.ascontiguousarray(values[:, 12]),
        lumens=np.ascontiguousarray(values[:, 13]),
    )
