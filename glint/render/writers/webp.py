"""Animated WebP (RFC 9649) by Pillow: only what changes from frame to frame."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from glint.render.writers.provenance import in_one_text

METHOD = 2
"""Effort of the encoder, 0 to 6. 2 takes a fifth fewer bytes than 0, in a little more time; 4
another tenth fewer, in twice the time."""

FOR_EVER = 0


def write_webp(
    path: Path,
    frames: Iterator[NDArray[np.uint8]],
    count: int,
    rate: Fraction,
    metadata: dict[str, str],
    quality: int,
) -> None:
    """Write `count` pictures (h, w, 3) uint8 at `rate` pictures a second, looping for ever.

    quality: 0 to 100. metadata: kept as XMP, "title" and "software" in their own fields, all of it
    as description. Frames start at the millisecond nearest to when they are due; equal ones in a
    row are kept as one. Raises OSError.
    """
    _InTurn(frames, count).save(
        path,
        "WEBP",
        save_all=True,
        duration=1000 / rate,  # Pillow adds these up, without error as they are fractions
        loop=FOR_EVER,
        quality=quality,
        method=METHOD,
        xmp=xmp(metadata).encode(),
    )
    for _ in frames:  # ask for what comes after the last, so that one too many is noticed
        pass


class _InTurn(Image.Image):
    """All pictures as one image of many frames, each fetched when it is sought.

    Pillow would hold a list of them in memory.
    """

    def __init__(self, frames: Iterator[NDArray[np.uint8]], count: int) -> None:
        super().__init__()
        self.n_frames = count
        self._frames = frames
        self._number = -1
        self.seek(0)

    def seek(self, frame: int) -> None:
        """Go on to a frame. Going back, as Pillow does in the end, changes nothing."""
        if frame > self._number:
            picture = Image.fromarray(next(self._frames))
            self.im, self._mode, self._size = picture.im, picture.mode, picture.size
            self._number = frame

    def tell(self) -> int:
        """The number of the present frame."""
        return self._number


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
