"""A picture on a canvas of another form: in the middle, black all round."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

MARGIN = 0.03
"""Black that stays free above and below a round map on an oblong canvas, as a share of its side:
a rim that touches the edge would look cut off."""


def side_of_map(width: int, height: int) -> int:
    """Pixels of the side of the square map that goes on a canvas: all of it if it is square."""
    if width == height:
        return width
    shorter = min(width, height)
    return shorter - 2 * round(MARGIN * shorter)


def centred(picture: NDArray[np.uint8], width: int, height: int) -> NDArray[np.uint8]:
    """The picture, (h, w, 3), in the middle of a black canvas: (height, width, 3) uint8."""
    high, wide = picture.shape[:2]
    if (high, wide) == (height, width):
        return picture
    canvas = np.zeros((height, width, 3), np.uint8)
    top, left = (height - high) // 2, (width - wide) // 2
    canvas[top : top + high, left : left + wide] = picture
    return canvas
