"""Candela tables against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.light.intensity import Intensity, candela_at, from_beam, lumens_of, smoothed


def test_half_at_the_beam_angle_and_a_tenth_at_the_field_angle():
    # The trade's definition of beam and field angle (IES Lighting Handbook): 50 % and 10 %.
    intensity = from_beam(math.radians(8), math.radians(14), peak=900.0)
    angles = np.radians([0.0, 4.0, 7.0])
    assert candela_at(intensity, angles) == pytest.approx([900.0, 450.0, 90.0], rel=1e-4)


def test_a_gaussian_beam_has_the_lumens_of_its_integral():
    # For a narrow Gaussian beam, 2 pi times the integral of gamma exp(-k gamma**2) is pi / k.
    beam = math.radians(2.0)
    field = beam * math.sqrt(math.log(10) / math.log(2))
    k = 4 * math.log(2) / beam**2
    intensity = from_beam(beam, field, peak=1000.0)
    assert lumens_of(intensity) == pytest.approx(1000.0 * math.pi / k, rel=1e-3)
    assert lumens_of(from_beam(beam, field, lumens=70.0)) == pytest.approx(70.0)


def test_an_even_half_space_sends_two_pi_lumens_a_candela():
    even = Intensity(np.full((1, 500), 3.0), math.sin(math.pi / 4))
    assert lumens_of(even) == pytest.approx(6 * math.pi, rel=1e-9)


def test_a_wide_lens_adds_the_laplacian():
    # The mean over a disc of radius d is I + d**2 / 8 times the Laplacian, to second order; for
    # exp(-k gamma**2) in the plane the Laplacian is (4 k**2 gamma**2 - 4 k) of it.
    beam = math.radians(6.0)
    field = beam * math.sqrt(math.log(10) / math.log(2))
    k = 4 * math.log(2) / beam**2
    intensity = from_beam(beam, field, peak=1.0)
    found = smoothed(intensity, math.radians(0.1))[0]
    gamma = 2 * np.arcsin(np.linspace(0, intensity.s_end, found.size))
    expected = np.exp(-k * gamma**2) * (4 * k * k * gamma**2 - 4 * k) / 8
    assert found[:1200] == pytest.approx(expected[:1200], abs=0.02 * k / 2)
