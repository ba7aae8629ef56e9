"""A picture on a canvas of another form: in the middle, black all round."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glint.errors import (
    Problem,
    UsageError,
    in_words,
    listed,
    require_choice,
    require_number,
)
from glint.render.views import SIZES

MARGIN = 0.03
"""Black that stays free above and below a round map on an oblong canvas, as a share of its side:
a rim that touches the edge would look cut off."""


Size = int | str | tuple[int, int]
"""Pixels: width and height, the height alone, or a name of SIZES."""

MOST_PIXELS = 8192
"""Along the side of a picture."""


def pixels_of(size: Size) -> int | tuple[int, int]:
    """A size in numbers, checked. Raises UsageError."""
    if isinstance(size, str):
        return SIZES[require_choice("size", size, SIZES)]
    sides = size if isinstance(size, tuple | list) else (size,)
    if len(sides) > 2 or not sides:
        forms = f"width and height, one number, {listed(SIZES)}"
        raise UsageError(str(Problem("size", in_words(size), forms)))
    for side in sides:
        require_number("size", side, 1, MOST_PIXELS, whole=True)
    return (int(sides[0]), int(sides[-1])) if len(sides) == 2 else int(sides[0])


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
