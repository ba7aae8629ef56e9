"""Round maps on oblong canvases."""

from __future__ import annotations

import numpy as np
import pytest

from glint.render.canvas import MARGIN, centred, side_of_map


@pytest.mark.parametrize("size", [(64, 64), (1024, 1024)])
def test_a_square_canvas_is_filled(size):
    assert side_of_map(*size) == size[0]


@pytest.mark.parametrize("width, height", [(1920, 1080), (1080, 1920), (641, 480), (65, 64)])
def test_a_map_stands_in_the_middle_of_black(width, height):
    side = side_of_map(width, height)
    shorter = min(width, height)
    assert side == pytest.approx((1 - 2 * MARGIN) * shorter, abs=1)
    canvas = centred(np.full((side, side, 3), 255, np.uint8), width, height)
    assert canvas.shape == (height, width, 3)
    rows, columns = np.nonzero(canvas[..., 0])
    assert len(rows) == side * side
    assert abs(rows.min() - (height - 1 - rows.max())) <= 1
    assert abs(columns.min() - (width - 1 - columns.max())) <= 1
