"""MP4: H.264 in the colours of BT.709, indexed at the front so that it plays while it loads."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.video.codeccontext import VideoCodecContext
from av.video.plane import VideoPlane
from numpy.typing import NDArray

from glint.kernels.image.yuv420 import to_video
from glint.render.writers.provenance import in_one_text

BT709 = 1
"""Primaries, transfer and matrix of BT.709 as ITU-T H.273 numbers them."""

LIMITED = 1
"""The limited range as the encoder numbers it."""

CRF = 18
OPTIONS = {"preset": "medium", "aq-mode": "3"}
"""Rate factor 18 is visually lossless; aq-mode 3 spends more on dark, flat parts, where dome
fabric is."""


def write_mp4(
    path: Path,
    frames: Iterator[NDArray[np.uint8]],
    rate: Fraction,
    metadata: dict[str, str],
    crf: int = CRF,
) -> None:
    """Write pictures (h, w, 3) uint8, h and w even, as H.264 at `rate` pictures a second.

    crf: constant rate factor, the larger the coarser. metadata: "title" becomes the title,
    everything else the comment. Raises OSError.
    """
    first = next(frames)
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as container:
        rest = {key: text for key, text in metadata.items() if key != "title"}
        container.metadata["title"] = metadata.get("title", "")
        container.metadata["comment"] = in_one_text(rest)
        stream = container.add_stream("libx264", rate=rate, options={**OPTIONS, "crf": str(crf)})
        context = stream.codec_context
        context.height, context.width = first.shape[:2]
        context.pix_fmt = "yuv420p"
        context.time_base = 1 / rate
        context.thread_count = 0  # as many as there are cores
        _tag_colours(context)
        number = 0
        picture: NDArray[np.uint8] | None = first
        while picture is not None:
            frame = av.VideoFrame(context.width, context.height, "yuv420p")
            to_video(np.ascontiguousarray(picture), *(_rows(plane) for plane in frame.planes))
            frame.pts, frame.time_base = number, 1 / rate
            container.mux(stream.encode(frame))
            number += 1
            picture = next(frames, None)
        container.mux(stream.encode(None))


def _rows(plane: VideoPlane) -> NDArray[np.uint8]:
    """A plane's own memory, a row a line: (h, w or more) uint8."""
    whole = memoryview(plane)  # pyright: ignore[reportArgumentType]
    return np.frombuffer(whole, np.uint8).reshape(plane.height, plane.line_size)


def _tag_colours(context: VideoCodecContext) -> None:
    """Say in the stream what the numbers mean: BT.709 throughout, in the limited range."""
    context.color_range = LIMITED
    context.colorspace = BT709
    context.color_primaries = BT709
    context.color_trc = BT709
