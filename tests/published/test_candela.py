"""Candela and lumens of beams against the definitions and closed forms of lighting."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.photometry.intensity_table import Intensity, candela_at, from_beam, lumens_of


@pytest.mark.parametrize(("beam_deg", "field_deg"), [(6.0, 10.2), (14.0, 24.0), (26.0, 29.0)])
def test_beam_and_field_angles_are_those_of_the_trade(beam_deg, field_deg):
    # IES Lighting Handbook: beam angle, where the intensity is 50 % of the maximum; field angle,
    # where it is 10 %; both are full angles.
    beam, field = math.radians(beam_deg), math.radians(field_deg)
    lamp = from_beam(beam, field, peak=20000.0)
    found = candela_at(lamp, [0.0, beam / 2, field / 2])
    assert found == pytest.approx([20000.0, 10000.0, 2000.0], rel=1e-4)


@pytest.mark.parametrize("half_angle_deg", [1.0, 10.0, 45.0, 90.0])
def test_a_candela_is_a_lumen_a_steradian(half_angle_deg):
    # SI: lm = cd sr; a cone of half angle a holds 2 pi (1 - cos a) sr.
    half = math.radians(half_angle_deg)
    even = Intensity(np.full((1, 2048), 7.0), math.sin(half / 2))
    assert lumens_of(even) == pytest.approx(7.0 * 2 * math.pi * (1 - math.cos(half)), rel=1e-9)


@pytest.mark.parametrize("beam_deg", [0.5, 2.0, 6.0])
def test_a_gauss_bell_has_the_lumens_of_its_integral(beam_deg):
    # In the plane, 2 pi times the integral of g exp(-k g²) is pi / k; on the sphere sin g < g makes
    # it less by the share 1 / (6 k), to first order.
    beam = math.radians(beam_deg)
    k = 4 * math.log(2) / beam**2
    lamp = from_beam(beam, beam * math.sqrt(math.log2(10)), peak=1000.0)
    assert lumens_of(lamp) == pytest.approx(1000 * math.pi / k * (1 - 1 / (6 * k)), rel=2e-5)


def test_an_exponential_beam_has_the_lumens_of_its_integral():
    # The least field allowed beside a beam without a spike makes exp(-k g), whose integral of
    # g exp(-k g) is 1 / k².
    beam = math.radians(0.5)
    k = 2 * math.log(2) / beam
    lamp = from_beam(beam, beam * math.log2(10), peak=1000.0)
    assert lumens_of(lamp) == pytest.approx(2000 * math.pi / k**2, rel=1e-4)


def test_illuminance_at_a_distance_follows_the_inverse_square_and_adds_up_to_the_lumens():
    # IES Lighting Handbook: E = I cos(a) / d². Over a wide plane before the lamp it adds up to all
    # of its lumens.
    lamp = from_beam(math.radians(20), math.radians(34), peak=5000.0)
    height = 2.0
    furthest = height * math.tan(lamp.gamma[-1])
    edges = np.linspace(0, furthest, 20_001)
    middle = (edges[1:] + edges[:-1]) / 2
    gamma = np.arctan2(middle, height)
    lux = candela_at(lamp, gamma) * np.cos(gamma) / (height**2 + middle**2)
    rings = math.pi * np.diff(edges**2)
    assert (lux * rings).sum() == pytest.approx(lumens_of(lamp), rel=1e-5)
    assert lux[0] == pytest.approx(5000.0 / 4.0, rel=1e-4)
