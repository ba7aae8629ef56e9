"""An eye's view as a photograph: exposure, a long shoulder, and the tone curve of all pictures."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glint.render.tone.mapping import strongest_channel, to_picture

MIDDLE = 0.05
"""Exposed luminance of the middle pixel of a dark room: just out of the black."""

BRIGHT_SHARE = 99.0
"""Per cent of the pixels that are darker than the spots' middle, in a picture of many spots."""

BRIGHTEST = 8.0
"""Exposed luminance that this percentile may reach at most."""

MOST_SAMPLES = 500_000


def eye_exposure(seen: NDArray[np.floating]) -> float:
    """The scale for `develop` that shows the room just out of the black and its spots not white.

    seen: (..., 3) float, luminance of one view or of several of a loop.
    """
    pixels = np.asarray(seen).reshape(-1, 3)
    strongest = strongest_channel(pixels[:: max(1, -(-len(pixels) // MOST_SAMPLES))])
    strongest = strongest[np.isfinite(strongest) & (strongest > 0.0)].astype(np.float64)
    if len(strongest) == 0:
        return 1.0
    scale = MIDDLE / float(np.median(strongest))
    return min(scale, BRIGHTEST / float(np.percentile(strongest, BRIGHT_SHARE)))


def develop(
    seen: NDArray[np.float32],
    scale: float,
    picture: NDArray[np.uint8] | None = None,
    changed: NDArray[np.bool_] | None = None,
) -> NDArray[np.uint8]:
    """Eight-bit sRGB picture of an eye's view: (h, w, 3) uint8.

    seen: (h, w, 3) float32, luminance. scale: exposure. picture: to write into, and changed: the
    blocks of eight pixels a side to write.
    """
    return to_picture(seen, scale, picture, changed, shoulder=True)
