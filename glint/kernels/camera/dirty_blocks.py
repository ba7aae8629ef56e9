"""Which parts of a view change when parts of the light maps do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Integers
from glint.kernels.camera.background import Backdrop
from glint.kernels.image.tone_mapping import BLOCK
from glint.kernels.runtime.jit import kernel
from glint.kernels.surfaces.equal_area import LEAF
from glint.kernels.surfaces.room_texture import RoomLight


class DirtyBlocks(NamedTuple):
    """For each block of BLOCK pixels, the leaves of the light maps that it shows.

    shape: rows and columns of blocks. start: (blocks + 1,) int, each block's first entry
    leaf: (k,) int32, numbered through all maps, row by row
    """

    shape: tuple[int, int]
    start: Integers
    leaf: np.ndarray


@kernel
def _leaves(tap, texel, blocks, first_texel, columns, first_leaf, leaf_columns, number):
    """Each block's leaves, none twice: where they start, and all of them in a row."""
    start = np.zeros(blocks + 1, np.int64)
    leaf = np.empty(0, np.int32)
    for writing in range(2):
        last_seen = np.full(number, -1, np.int64)
        found = 0
        if writing:
            leaf = np.empty(start[-1], np.int32)
        for block in range(blocks):
            for t in range(tap[block * BLOCK * BLOCK], tap[(block + 1) * BLOCK * BLOCK]):
                for k in range(4):
                    place = texel[t, k // 2] + k % 2
                    s = first_texel.shape[0] - 1
                    while place < first_texel[s]:
                        s -= 1
                    row, column = divmod(place - first_texel[s], columns[s])
                    here = first_leaf[s] + row // LEAF * leaf_columns[s] + column // LEAF
                    if last_seen[here] != block:
                        last_seen[here] = block
                        if writing:
                            leaf[found] = here
                        found += 1
            start[block + 1] = found
    return start, leaf


def dirty_blocks_of(
    view: Backdrop, room: RoomLight, shapes: Sequence[tuple[int, int]], size: tuple[int, int]
) -> DirtyBlocks:
    """The leaves that each block of a view shows.

    shapes: rows and columns of leaves of each map. size: width and height of the view, pixels.
    """
    numbers = [rows * columns for rows, columns in shapes]
    rows, columns = -(-size[1] // BLOCK), -(-size[0] // BLOCK)
    start, leaf = _leaves(
        view.start,
        view.texel,
        rows * columns,
        room.start,
        np.ascontiguousarray(room.sizes[:, 1]),
        np.cumsum([0, *numbers[:-1]]).astype(np.int64),
        np.array([columns for _, columns in shapes], np.int64),
        sum(numbers),
    )
    return DirtyBlocks((rows, columns), start, leaf)


@kernel
def _any(start, leaf, changed, found):
    for block in range(found.shape[0]):
        for k in range(start[block], start[block + 1]):
            if changed[leaf[k]]:
                found[block] = True
                break


def reached(watch: DirtyBlocks, changed: Sequence[Flags]) -> Flags:
    """TexelTree of the view, (rows, columns) bool, that show a changed leaf of any map."""
    found = np.zeros(watch.shape[0] * watch.shape[1], np.bool_)
    _any(watch.start, watch.leaf, np.concatenate([one.ravel() for one in changed]), found)
    return found.reshape(watch.shape)
