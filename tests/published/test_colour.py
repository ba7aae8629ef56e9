"""Colours against the tables of colour-science and IEC 61966-2-1."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from glint.light.colour import (
    hex_to_linear_rgb,
    kelvin_to_linear_rgb,
    kelvin_to_xy,
    srgb_decode,
    srgb_encode,
)


@pytest.mark.parametrize("kelvin", [1900, 2700, 3200])
def test_a_black_body_has_the_chromaticity_of_the_cie_1931_observer(kelvin):
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    body = colour.sd_blackbody(kelvin, observer.shape)
    xyz = colour.sd_to_XYZ(body, observer)
    assert kelvin_to_xy(kelvin) == pytest.approx(xyz[:2] / xyz.sum(), abs=5e-3)


LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1


@pytest.mark.parametrize("kelvin", [1000, 3200, 20000])
def test_colours_have_luminance_one_and_no_negative_primary(kelvin):
    rgb = kelvin_to_linear_rgb(kelvin)
    assert LUMINANCE @ rgb == pytest.approx(1.0)
    assert rgb.min() >= 0.0


def test_the_transfer_function_is_that_of_srgb():
    codes = np.linspace(0, 1, 256)
    assert srgb_decode(codes) == pytest.approx(colour.models.eotf_sRGB(codes), abs=1e-6)
    assert srgb_encode(srgb_decode(codes)) == pytest.approx(codes, abs=1e-5)
    assert hex_to_linear_rgb("#ff8000") == pytest.approx([1.0, 0.2158605, 0.0], abs=1e-6)
