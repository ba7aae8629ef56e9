"""Pictures developed as a whole and block by block, from light of any kind."""

from __future__ import annotations

import numpy as np
import pytest

from glint.render.tone.mapping import picture_value, srgb_code, to_picture


def light_of(height: int, width: int) -> np.ndarray:
    light = np.random.default_rng(4).gamma(0.3, 0.3, (height, width, 3)).astype(np.float32)
    light[:6, 0, 0] = [np.nan, np.inf, -1.0, 0.0, 1e-38, 3e38]
    light[6] = 0.0
    return light


@pytest.mark.parametrize("width", [1, 8, 90, 720])
def test_only_blocks_that_changed_are_written(width):
    light = light_of(20, width)
    whole = to_picture(light, 1.3)
    # As wide as a map's leaves in halls: farther than the picture.
    blocks = np.zeros((8, -(-width // 64) * 8), bool)
    blocks[0, ::3] = blocks[1, 1::2] = blocks[2, -1] = True
    picture = np.full((20, width, 3), 77, np.uint8)
    to_picture(light, 1.3, picture, blocks)
    written = np.repeat(np.repeat(blocks, 8, axis=0), 8, axis=1)[:20, :width]
    assert (picture[written] == whole[written]).all()
    assert (picture[~written] == 77).all()


def test_where_there_is_no_light_the_code_is_none():
    whole = to_picture(light_of(20, 90), 1.3)
    assert (whole[6] == 0).all()
    light = np.full((1, 1, 3), np.nan, np.float32)
    assert (to_picture(light, 1.0) == 0).all()


def test_codes_of_grey_are_those_of_the_curve():
    # On average over the dither. A step of the table of codes is a tenth of a code at most.
    for exposed in (0.01, 0.2, 0.9, 3.0):
        light = np.full((32, 32, 3), exposed, np.float32)
        assert to_picture(light, 1.0).mean() == pytest.approx(
            float(srgb_code(picture_value(exposed))), abs=0.06
        )
