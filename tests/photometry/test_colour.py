"""Colours: what holds for all of them. Published values are in tests/published."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glint.photometry.colour import (
    LUMINANCE,
    XYZ_TO_LINEAR_RGB,
    hex_to_linear_rgb,
    kelvin_to_linear_rgb,
    kelvin_to_xy,
    of_luminance_one,
    srgb_decode,
    srgb_encode,
)


@given(st.floats(1000, 20000))
def test_every_temperature_has_luminance_one_and_no_negative_primary(kelvin):
    rgb = kelvin_to_linear_rgb(kelvin)
    assert LUMINANCE @ rgb == pytest.approx(1.0)
    assert rgb.min() >= 0.0


def test_hotter_is_bluer():
    ratios = [rgb[2] / rgb[0] for rgb in map(kelvin_to_linear_rgb, range(1000, 20001, 100))]
    assert all(np.diff(ratios) >= 0)
    assert ratios[0] < 0.01 < 1 < ratios[-1]


def test_a_flame_keeps_its_hue_when_it_is_brought_into_the_gamut():
    x, y = kelvin_to_xy(1200.0)
    outside = XYZ_TO_LINEAR_RGB @ [x / y, 1.0, (1 - x - y) / y]
    assert outside.min() < 0
    inside = kelvin_to_linear_rgb(1200.0)
    # Mixed with white: differences between the primaries shrink alike.
    shrunk = np.diff(inside) / np.diff(outside)
    assert shrunk == pytest.approx([shrunk[0]] * 2)
    assert 0.5 < shrunk[0] < 1.0
    assert inside.min() == pytest.approx(0.0, abs=1e-12)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=9))
def test_decoding_undoes_encoding(values):
    assert srgb_decode(srgb_encode(values)) == pytest.approx(np.array(values), abs=1e-6)


def test_encoding_cuts_what_a_screen_cannot_show():
    assert srgb_encode([-1.0, 2.0]) == pytest.approx([0.0, 1.0], abs=1e-12)
    assert srgb_encode(np.zeros((2, 3, 3))).shape == (2, 3, 3)


@pytest.mark.parametrize("code", ["#FF8000", "#ff8000"])
def test_codes_in_either_case(code):
    rgb = hex_to_linear_rgb(code)
    assert rgb[[0, 2]].tolist() == [1.0, 0.0]
    assert srgb_encode(rgb)[1] * 255 == pytest.approx(128)


def test_black_cannot_be_scaled():
    with pytest.raises(ValueError, match="black"):
        of_luminance_one(np.zeros(3))
