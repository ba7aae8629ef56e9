"""Animated PNG (W3C PNG 3rd edition): without loss, only what changes from frame to frame."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray

from glint.parallel.prefetch import ahead
from glint.render.writers.png import PERCEPTUAL, chunk, text

SIGNATURE = b"\x89PNG\r\n\x1a\n"
EIGHT_BIT_RGBA = bytes([8, 6, 0, 0, 0])
FOR_EVER = 0
LEVEL = 6
LEAVE = 0
REPLACE = 0
OVER = 1

Picture = NDArray[np.uint8]


def write_apng(
    path: Path, frames: Iterator[Picture], count: int, rate: Fraction, metadata: dict[str, str]
) -> None:
    """Write `count` pictures (h, w, 3) uint8 at `rate` pictures a second, looping for ever.

    The first frame is whole; in each later one the pixels that stay as they were are transparent.
    Raises OSError.
    """
    delay = (1 / rate).limit_denominator(65535)
    with path.open("wb") as file:
        number = 0
        for shape, data in ahead(_packed, _with_previous(frames)):
            if number == 0:
                _start(file, shape, count, metadata)
            sequence = 2 * number - 1 if number else 0
            size = struct.pack(">IIII", shape[1], shape[0], 0, 0)
            timing = struct.pack(">HH", delay.numerator, delay.denominator)
            how = bytes([LEAVE, OVER if number else REPLACE])
            chunk(file, b"fcTL", struct.pack(">I", sequence) + size + timing + how)
            if number == 0:
                chunk(file, b"IDAT", data)
            else:
                chunk(file, b"fdAT", struct.pack(">I", sequence + 1) + data)
            number += 1  # noqa: SIM113
        chunk(file, b"IEND", b"")


def _start(file: IO[bytes], shape: tuple[int, ...], count: int, metadata: dict[str, str]) -> None:
    file.write(SIGNATURE)
    chunk(file, b"IHDR", struct.pack(">II", shape[1], shape[0]) + EIGHT_BIT_RGBA)
    chunk(file, b"sRGB", PERCEPTUAL)
    chunk(file, b"acTL", struct.pack(">II", count, FOR_EVER))
    for key, value in metadata.items():
        chunk(file, b"iTXt", text(key, value))


def _with_previous(frames: Iterator[Picture]) -> Iterator[tuple[Picture | None, Picture]]:
    previous = None
    for frame in frames:
        kept = frame.copy()
        yield previous, kept
        previous = kept


def _packed(pair: tuple[Picture | None, Picture]) -> tuple[tuple[int, ...], bytes]:
    """Shape and compressed rows of one frame, each row headed by its filter: none.

    Prediction from neighbours makes dithered pictures larger, not smaller.
    """
    previous, picture = pair
    height, width = picture.shape[:2]
    rows = np.zeros((height, 1 + 4 * width), dtype=np.uint8)
    pixels = rows[:, 1:].reshape(height, width, 4)
    pixels[..., :3] = picture
    pixels[..., 3] = 255
    if previous is not None:
        pixels[(picture == previous).all(axis=2)] = 0
    return picture.shape, zlib.compress(rows, LEVEL)  # pyright: ignore
