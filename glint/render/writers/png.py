"""PNG files (W3C PNG 3rd edition): chunks, text entries, and stills."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.PngImagePlugin import PngInfo

KEYWORDS = {"title": "Title", "software": "Software", "comment": "Comment"}
"""Our entries that have a standard keyword; others are kept under their own name."""

PERCEPTUAL = b"\0"


def write_png(path: Path, picture: NDArray[np.uint8], metadata: dict[str, str]) -> None:
    """Write one picture (h, w, 3) uint8 sRGB with its metadata as text. Raises OSError."""
    entries = PngInfo()
    entries.add(b"sRGB", PERCEPTUAL)
    for key, text in metadata.items():
        entries.add_itxt(KEYWORDS.get(key, key), text)
    Image.fromarray(picture).save(path, "PNG", pnginfo=entries)


def chunk(file: IO[bytes], name: bytes, data: bytes) -> None:
    """Write one chunk: length, name, data and checksum."""
    checksum = zlib.crc32(data, zlib.crc32(name))
    file.write(struct.pack(">I", len(data)) + name + data + struct.pack(">I", checksum))


def text(key: str, value: str) -> bytes:
    """The data of an international text chunk (iTXt), not compressed."""
    return KEYWORDS.get(key, key).encode("latin-1") + b"\0\0\0\0\0" + value.encode()
