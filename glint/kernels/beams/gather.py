"""What workers find, put together in the order of the work, whoever did which part of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from glint.kernels.arrays import LONGEST_CHAIN, MOST_CORNERS, Beams, Fates, Floats, Integers
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import scratch_of, share_out

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
    scratch: Callable[[], Any],
) -> tuple[Beams, Fates]:
    """All that work(first, last, (*given, rows), scratch) finds in its chunks from first to last.

    rows: those of all chunks; `chunk_of` takes one's. lamps: how many. capacity: beams that one
    chunk is likely to make; where there are more, the work is done again with room for them.
    scratch: see `share_out`. Raises ValueError where a window falls into too many pieces.
    """
    while True:
        small = capacity <= MOST_KEPT
        rows = scratch_of(_room, capacity, lamps) if small else _room(capacity, lamps)
        for part in (rows.made, rows.failed, rows.fates):
            part[...] = 0
        share_out(CHUNKS, work, (*given, rows), stretches=1, scratch=scratch)
        if (rows.failed == 2).any():
            raise ValueError("a window falls into too many pieces")
        if not (rows.failed == 1).any():
            return _beams(rows), Fates(*rows.fates.sum(axis=0))
        capacity = int(rows.made.max()) + 1


def _beams(rows: Rows) -> Beams:
    number = int(rows.made.sum())
    beams = Beams(
        np.empty(number, np.int64),
        np.empty(number, np.int64),
        np.empty(number, np.int64),
        np.empty((number, LONGEST_CHAIN), np.int64),
        np.empty((number, 3)),
        np.empty((number, 3, 3)),
        np.empty((number, MOST_CORNERS, 3)),
        np.empty(number, np.int64),
        np.empty(number),
        np.empty(number),
    )
    _gather(rows, beams)
    return beams


@kernel
def _gather(rows, beams):
    """Put the beams of all chunks one after the other."""
    whole, parts, windows, made = rows.whole, rows.parts, rows.windows, rows.made
    lamp, ball, bounces, chain, apex, frame, window, sides, share, lumens = beams
    b = 0
    for chunk in range(CHUNKS):
        for n in range(made[chunk]):
            lamp[b], ball[b] = whole[chunk, n, 0], whole[chunk, n, 1]
            bounces[b], sides[b] = whole[chunk, n, 2], whole[chunk, n, 3]
            for k in range(LONGEST_CHAIN):
                chain[b, k] = whole[chunk, n, 4 + k]
            for k in range(3):
                apex[b, k] = parts[chunk, n, k]
                for m in range(3):
                    frame[b, k, m] = parts[chunk, n, 3 + 3 * k + m]
            share[b], lumens[b] = parts[chunk, n, 12], parts[chunk, n, 13]
            for i in range(MOST_CORNERS):
                for k in range(3):
                    window[b, i, k] = windows[chunk, n, i, k]
            b += 1
