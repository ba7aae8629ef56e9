"""Colour as linear sRGB: from a colour temperature, from a hexadecimal code, to and from sRGB."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

LUMINANCE: Floats = np.array([0.2126, 0.7152, 0.0722])
"""Luminance of each linear sRGB primary (IEC 61966-2-1)."""

XYZ_TO_LINEAR_RGB: Floats = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
"""CIE 1931 tristimulus values, of Y = 1 for white, to linear sRGB (IEC 61966-2-1)."""


def kelvin_to_xy(kelvin: float) -> Floats:
    """CIE 1931 chromaticity (2,) float of a black body of some temperature, K.

    By the rational functions of Krystek (1985, Color Research & Application 10, 38-40) for the
    CIE 1960 chromaticity. Made for 1,000 to 15,000 K, where x and y come out within 0.0004; at
    20,000 K they are 0.001 off.
    """
    t = float(kelvin)
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) / (
        1.0 + 8.42420235e-4 * t + 7.08145163e-7 * t * t
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) / (
        1.0 - 2.89741816e-5 * t + 1.61456053e-7 * t * t
    )
    return np.array([3.0 * u, 2.0 * v]) / (2.0 * u - 8.0 * v + 4.0)


def kelvin_to_linear_rgb(kelvin: float) -> Floats:
    """Linear sRGB (3,) float, of luminance 1, of a black body of some temperature, K.

    Below about 1,900 K a flame is more colourful than sRGB can show: just so much white is mixed
    in that no primary is negative, which keeps the hue and the luminance.
    """
    x, y = kelvin_to_xy(kelvin)
    rgb = XYZ_TO_LINEAR_RGB @ np.array([x / y, 1.0, (1.0 - x - y) / y])
    return of_luminance_one(rgb - min(float(rgb.min()), 0.0))


def hex_to_linear_rgb(code: str) -> Floats:
    """Linear sRGB (3,) float, 0 to 1, of a colour written "#rrggbb"."""
    return srgb_decode([int(code[start : start + 2], 16) / 255.0 for start in (1, 3, 5)])


def of_luminance_one(rgb: Floats) -> Floats:
    """A linear sRGB colour (3,) float scaled to luminance 1. Raises ValueError for black."""
    luminance = float(LUMINANCE @ rgb)
    if not luminance > 0.0:
        raise ValueError("black has no luminance to scale")
    return rgb / luminance


def srgb_decode(encoded: ArrayLike) -> Floats:
    """Linear values, 0 to 1, of sRGB values of any shape, 0 to 1 (IEC 61966-2-1)."""
    value = np.asarray(encoded, float)
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def srgb_encode(linear: ArrayLike) -> Floats:
    """sRGB values, 0 to 1, of linear values of any shape, cut to 0 to 1 (IEC 61966-2-1)."""
    value = np.clip(np.asarray(linear, float), 0.0, 1.0)
    return np.where(value <= 0.0031308, 12.92 * value, 1.055 * value ** (1 / 2.4) - 0.055)
