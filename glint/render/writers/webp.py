"""Animated WebP (RFC 9649): every frame a lossy still of its own, so all cores can encode."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from glint.parallel.prefetch import ahead
from glint.render.writers.gif_timing import ticks_of
from glint.render.writers.provenance import in_one_text

QUALITY = 90
METHOD = 2

HAS_XMP = 0x04
IS_ANIMATED = 0x02
DO_NOT_BLEND = 0x02
FOR_EVER = 0
BLACK = b"\x00\x00\x00\xff"


def write_webp(
    path: Path,
    frames: Iterator[NDArray[np.uint8]],
    rate: Fraction,
    metadata: dict[str, str],
    quality: int = QUALITY,
) -> None:
    """Write pictures (h, w, 3) uint8 at `rate` pictures a second, looping for ever.

    quality: 0 to 100. metadata: kept as XMP, "title" and "software" in their own fields, all of it
    as description. Raises OSError.
    """
    with path.open("wb") as file:
        file.write(b"RIFF\0\0\0\0WEBP")
        stills = ahead(partial(_still, quality), (frame.copy() for frame in frames))
        for number, (size, data) in enumerate(stills):
            if number == 0:
                canvas = _three_bytes(size[0] - 1) + _three_bytes(size[1] - 1)
                _chunk(file, b"VP8X", struct.pack("<I", IS_ANIMATED | HAS_XMP) + canvas)
                _chunk(file, b"ANIM", BLACK + struct.pack("<H", FOR_EVER))
            at_origin = _three_bytes(0) + _three_bytes(0)
            extent = _three_bytes(size[0] - 1) + _three_bytes(size[1] - 1)
            shown_for = _three_bytes(ticks_of(number, rate, 1000))
            head = at_origin + extent + shown_for + bytes([DO_NOT_BLEND])
            _chunk(file, b"ANMF", head + data)
        _chunk(file, b"XMP ", xmp(metadata).encode())
        length = file.tell() - 8
        file.seek(4)
        file.write(struct.pack("<I", length))


def _still(quality: int, picture: NDArray[np.uint8]) -> tuple[tuple[int, int], bytes]:
    """Size and the image chunks of one picture, without the file header round them."""
    image = Image.fromarray(picture)
    buffer = io.BytesIO()
    image.save(buffer, "WEBP", quality=quality, method=METHOD)
    return image.size, buffer.getvalue()[12:]


def _three_bytes(number: int) -> bytes:
    return struct.pack("<I", number)[:3]


def _chunk(file: io.BufferedWriter, name: bytes, data: bytes) -> None:
    padding = b"\0" if len(data) % 2 else b""
    file.write(name + struct.pack("<I", len(data)) + data + padding)


def xmp(metadata: dict[str, str]) -> str:
    """Metadata as an XMP packet (ISO 16684-1)."""

    def in_default_language(tag: str, text: str) -> str:
        item = f'<rdf:li xml:lang="x-default">{escape(text)}</rdf:li>'
        return f"<{tag}><rdf:Alt>{item}</rdf:Alt></{tag}>"

    title = in_default_language("dc:title", metadata.get("title", ""))
    description = in_default_language("dc:description", in_one_text(metadata))
    tool = f"<xmp:CreatorTool>{escape(metadata.get('software', ''))}</xmp:CreatorTool>"
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        f'xmlns:xmp="http://ns.adobe.com/xap/1.0/">{title}{description}{tool}'
        "</rdf:Description></rdf:RDF></x:xmpmeta>"
    )
