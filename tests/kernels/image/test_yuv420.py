"""Colours as video keeps them, against ITU-R BT.709-6 in real numbers."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.image.yuv420 import to_video


def planes_of(picture: np.ndarray, more: int = 0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    height, width = picture.shape[:2]
    half = (height // 2, width // 2 + more)
    luma = np.full((height, width + more), 7, np.uint8)
    planes = (luma, np.full(half, 7, np.uint8), np.full(half, 7, np.uint8))
    to_video(picture, *planes)
    return planes


@pytest.mark.parametrize(
    ("colour", "codes"),
    [
        # BT.709-6, item 3.5: black 16, white 235, no colour 128, colour differences 16 to 240.
        ((0, 0, 0), (16, 128, 128)),
        ((255, 255, 255), (235, 128, 128)),
        ((0, 0, 255), (None, 240, None)),
        ((255, 255, 0), (None, 16, None)),
        ((255, 0, 0), (None, None, 240)),
        ((0, 255, 255), (None, None, 16)),
    ],
)
def test_black_white_and_the_ends_of_colour_have_the_codes_of_the_standard(colour, codes):
    picture = np.broadcast_to(np.array(colour, np.uint8), (4, 6, 3)).copy()
    for plane, code in zip(planes_of(picture), codes, strict=True):
        assert code is None or (plane == code).all()


def test_codes_are_those_nearest_to_the_exact_ones():
    picture = np.random.default_rng(3).integers(0, 256, (58, 74, 3), dtype=np.uint8)
    luma, blue, red = planes_of(picture)
    # BT.709-6, items 3.2 to 3.4.
    weights = np.array([0.2126, 0.7152, 0.0722])
    exact = picture / 255.0
    four = exact.reshape(29, 2, 37, 2, 3).mean(axis=(1, 3))
    bright = four @ weights
    for plane, value in (
        (luma, 219.0 * (exact @ weights) + 16.0),
        (blue, 224.0 * (four[..., 2] - bright) / 1.8556 + 128.0),
        (red, 224.0 * (four[..., 0] - bright) / 1.5748 + 128.0),
    ):
        assert np.abs(plane - value).max() < 0.502


def test_what_lies_beyond_the_picture_is_left_alone():
    picture = np.random.default_rng(5).integers(0, 256, (6, 10, 3), dtype=np.uint8)
    for plane, narrow in zip(planes_of(picture, 3), planes_of(picture), strict=True):
        assert (plane[:, : narrow.shape[1]] == narrow).all()
        assert (plane[:, narrow.shape[1] :] == 7).all()
