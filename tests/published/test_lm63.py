"""Lamp files written after ANSI/IES LM-63-2002, with the lumens that closed forms give them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.photometry.intensity_table import from_lm63, lumens_of
from glint.photometry.readers.lm63 import read_lm63
from glint.photometry.type_c import Photometry
from tests.photometry.files import cosine, lamp_file

EVERY_DEGREE = range(91)


def photometry(*args, **keys) -> Photometry:
    return read_lm63(lamp_file(*args, **keys).encode(), "test.ies")


def both_lumens(lamp: Photometry) -> list[float]:
    """Lumens of the measured angles, and of the table made from them."""
    return [lamp.lumens(), lumens_of(from_lm63(lamp))]


def test_zonal_constants():
    # IES Lighting Handbook, lumens a candela in zones of ten degrees; from memory, and each is
    # 2 pi (cos a - cos b) for an even lamp.
    constants = [0.0955, 0.2835, 0.4629, 0.6282, 0.7744, 0.8972, 0.9926, 1.0579, 1.0911]
    even = photometry(EVERY_DEGREE, candela=lambda *_: 1.0)
    for zone, constant in enumerate(constants):
        low, high = 10.0 * zone, 10.0 * zone + 10.0
        exact = 2 * math.pi * (math.cos(math.radians(low)) - math.cos(math.radians(high)))
        assert even.lumens(low, high) == pytest.approx(constant, abs=1e-4)
        assert even.lumens(low, high) == pytest.approx(exact, rel=1e-9)


def test_a_matt_lamp_gives_pi_lumens_a_candela():
    # Lambert's law: the integral of cos over the half space is pi.
    assert both_lumens(photometry(EVERY_DEGREE, candela=cosine)) == pytest.approx(
        [100 * math.pi] * 2, rel=1e-4
    )


def test_an_even_lamp_gives_two_pi_lumens_a_candela():
    even = photometry((0, 45, 90), candela=lambda *_: 100.0)
    assert both_lumens(even) == pytest.approx([200 * math.pi] * 2, rel=1e-9)


@pytest.mark.parametrize("power", [5, 40, 400])
def test_a_power_of_the_cosine(power):
    # The integral of 2 pi cos**n sin is 2 pi / (n + 1).
    def candela(vertical, _):
        return 100.0 * max(math.cos(math.radians(vertical)), 0.0) ** power

    lamp = photometry(np.arange(0, 90.01, 0.25), candela=candela)
    assert both_lumens(lamp) == pytest.approx([200 * math.pi / (power + 1)] * 2, rel=2e-3)


def test_the_four_ways_to_leave_out_what_is_symmetric():
    # 1 + cos(2 C) / 2 has all the symmetries, and the mean 1.
    def candela(vertical, horizontal):
        return cosine(vertical, 0.0) * (1 + math.cos(math.radians(2 * horizontal)) / 2)

    ranges = [(0, 91), (0, 181), (90, 271), (0, 361), (0, 346)]
    lamps = [photometry(EVERY_DEGREE, range(a, b, 15), candela) for a, b in ranges]
    for lamp in lamps:
        assert both_lumens(lamp) == pytest.approx([100 * math.pi] * 2, rel=1e-4)
    tables = [from_lm63(lamp).candela for lamp in lamps]
    for table in tables[1:]:
        assert table == pytest.approx(tables[0], abs=1e-9)


def test_a_lamp_that_leans_to_one_side_keeps_its_lumens():
    # The mean of 1 + cos(C) / 2 over the turn is 1.
    def candela(vertical, horizontal):
        return cosine(vertical, 0.0) * (1 + math.cos(math.radians(horizontal)) / 2)

    for horizontal in (range(0, 181, 10), range(0, 361, 10)):
        lamp = photometry(EVERY_DEGREE, horizontal, candela)
        assert both_lumens(lamp) == pytest.approx([100 * math.pi] * 2, rel=1e-4)


def test_multiplier_and_ballast_factor_scale_the_lumens():
    head = "1 1000 2.5 91 1 1 2 0 0 0"
    lamp = photometry(EVERY_DEGREE, candela=cosine, head=head, factors="0.8 1 60")
    assert lamp.lumens() == pytest.approx(200 * math.pi, rel=1e-4)
