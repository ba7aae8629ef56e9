"""Colours against CIE and IEC tables, as the library colour-science carries them."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from glint.photometry.colour import (
    LUMINANCE,
    XYZ_TO_LINEAR_RGB,
    kelvin_to_xy,
    srgb_decode,
    srgb_encode,
)

with warnings.catch_warnings():
    # It warns that it cannot draw, which nobody asks of it here.
    warnings.simplefilter("ignore")
    import colour

pytestmark = pytest.mark.filterwarnings("ignore:.*Aligning")

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]


def black_body_xy(kelvin: float) -> np.ndarray:
    """By Planck's law and the CIE 1931 observer."""
    spectrum = colour.sd_blackbody(kelvin, colour.SpectralShape(360, 780, 1))
    return np.asarray(colour.XYZ_to_xy(colour.sd_to_XYZ(spectrum, OBSERVER)))


@pytest.mark.parametrize("kelvin", [1000, 1500, 1900, 2700, 3200, 4500, 6500, 10000, 15000])
def test_a_black_body_has_its_chromaticity(kelvin):
    assert kelvin_to_xy(kelvin) == pytest.approx(black_body_xy(kelvin), abs=4e-4)


@pytest.mark.parametrize("kelvin", [17000, 20000])
def test_above_the_range_of_the_formula_it_is_a_thousandth_off(kelvin):
    assert kelvin_to_xy(kelvin) == pytest.approx(black_body_xy(kelvin), abs=1e-3)


def test_the_formula_is_that_of_krystek():
    for kelvin in (1000.0, 3200.0, 9000.0):
        uv = colour.temperature.CCT_to_uv_Krystek1985(kelvin)
        assert kelvin_to_xy(kelvin) == pytest.approx(colour.UCS_uv_to_xy(uv), abs=1e-12)


def test_the_transfer_function_is_that_of_iec_61966_2_1():
    codes = np.arange(256) / 255.0
    linear = np.asarray(colour.models.eotf_sRGB(codes))
    assert srgb_decode(codes) == pytest.approx(linear, abs=1e-12)
    assert srgb_encode(linear) == pytest.approx(colour.models.eotf_inverse_sRGB(linear), abs=1e-12)


def test_the_primaries_are_those_of_iec_61966_2_1():
    space = colour.RGB_COLOURSPACES["sRGB"]
    # The standard rounds its matrix to four decimals.
    assert np.abs(space.matrix_XYZ_to_RGB - XYZ_TO_LINEAR_RGB).max() < 1e-4
    assert np.abs(space.matrix_RGB_to_XYZ[1] - LUMINANCE).max() < 1e-4


def test_daylight_of_6500_kelvin_is_near_the_white_of_srgb():
    # D65 lies beside the black body of its temperature: x 0.3127, y 0.3290 (CIE 15).
    assert kelvin_to_xy(6500.0) == pytest.approx([0.3127, 0.3290], abs=0.006)
