"""GIF89a: one palette for all frames, and only the pixels that change."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.GifImagePlugin import getdata

from glint.parallel.prefetch import ahead
from glint.render.writers.palette import Mixer
from glint.render.writers.provenance import in_one_text

PALETTE_OF_256 = 0xF7
LEAVE_IN_PLACE = 1 << 2
HAS_TRANSPARENT = 1
UNCHANGED = 255
FOR_EVER = 0

Box = tuple[int, int, int, int]
Indices = NDArray[np.uint8]


def write_gif(
    path: Path,
    frames: Iterator[NDArray[np.uint8]],
    palette: NDArray[np.uint8],
    rate: Fraction,
    metadata: dict[str, str],
) -> None:
    """Write pictures (h, w, 3) uint8 at `rate` pictures a second, looping for ever.

    palette: (n, 3) uint8, at most 255 colours. metadata: kept as a comment. Delays are in whole
    hundredths of a second and average the right rate. Raises OSError.
    """
    mixer = Mixer(palette)
    with path.open("wb") as file:
        indexed = ahead(mixer.indices, (frame.copy() for frame in frames))
        changes = ahead(_compressed, _changes(indexed))
        for number, (shape, data) in enumerate(changes):
            if number == 0:
                file.write(_head(shape, palette, metadata))
            delay = due(number + 1, rate) - due(number, rate)
            how = LEAVE_IN_PLACE | HAS_TRANSPARENT
            file.write(b"\x21\xf9\x04" + struct.pack("<BHBB", how, delay, UNCHANGED, 0) + data)
        file.write(b"\x3b")


def due(frame: int, rate: Fraction) -> int:
    """The hundredth of a second nearest to the moment when a frame (counted from 0) is due."""
    return round(frame * 100 / rate)


def _head(shape: tuple[int, ...], palette: NDArray[np.uint8], metadata: dict[str, str]) -> bytes:
    screen = struct.pack("<HHBBB", shape[1], shape[0], PALETTE_OF_256, 0, 0)
    colours = palette.tobytes().ljust(3 * 256, b"\0")
    loop = b"\x21\xff\x0bNETSCAPE2.0\x03\x01" + struct.pack("<H", FOR_EVER) + b"\0"
    return b"GIF89a" + screen + colours + loop + _comment(in_one_text(metadata))


def _comment(text: str) -> bytes:
    data = text.encode()
    if not data:
        return b""
    pieces = [data[start : start + 255] for start in range(0, len(data), 255)]
    return b"\x21\xfe" + b"".join(bytes([len(piece)]) + piece for piece in pieces) + b"\0"


def _changes(frames: Iterator[Indices]) -> Iterator[tuple[tuple[int, ...], Indices, Box]]:
    """Each frame's shape, what of it changes, and where (left, top, right, bottom)."""
    previous = None
    for frame in frames:
        box = (0, 0, frame.shape[1], frame.shape[0])
        changed = frame
        if previous is not None:
            same = frame == previous
            box = _box_of(~same)
            changed = np.where(same, np.uint8(UNCHANGED), frame)
        yield frame.shape, changed, box
        previous = frame


def _box_of(flags: NDArray[np.bool_]) -> Box:
    """The smallest box round what is true; one pixel if nothing is."""
    rows, columns = np.flatnonzero(flags.any(axis=1)), np.flatnonzero(flags.any(axis=0))
    if len(rows) == 0:
        return (0, 0, 1, 1)
    return (int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1)


def _compressed(change: tuple[tuple[int, ...], Indices, Box]) -> tuple[tuple[int, ...], bytes]:
    shape, indices, (left, top, right, bottom) = change
    image = Image.fromarray(indices[top:bottom, left:right].copy()).convert("P")
    return shape, b"".join(getdata(image, offset=(left, top)))
