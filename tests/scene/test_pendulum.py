"""The pendulum against published values, against its own equation, and against energy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.scene.pendulum import GRAVITY, Swing, period_of
from glint.scene.torsion import Twist


def test_a_small_swing_takes_what_huygens_says():
    # The seconds pendulum: 0.99362 m at g = 9.80665, from T = 2 s, l = g / pi².
    assert period_of(GRAVITY / math.pi**2) == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize("degrees", [1.0, 5.0, 10.0, 23.0])
def test_a_wider_swing_takes_longer_by_the_series(degrees):
    """1 + a²/16 + 11 a⁴/3072 + 173 a⁶/737280 (Nelson & Olsson 1986, The pendulum: rich physics from
    a simple system, American Journal of Physics 54; from memory)."""
    a = math.radians(degrees)
    series = 1.0 + a**2 / 16.0 + 11.0 * a**4 / 3072.0 + 173.0 * a**6 / 737280.0
    assert period_of(1.7, a) / period_of(1.7) == pytest.approx(series, rel=2e-7)


def test_a_right_angle_takes_the_tabulated_integral():
    """K(m = 1/2) = 1.8540746773 (Abramowitz & Stegun 1964, table 17.1; from memory)."""
    assert period_of(GRAVITY, math.pi / 2) == pytest.approx(4.0 * 1.8540746773, rel=1e-10)


def test_the_lean_obeys_the_equation_of_motion():
    """lean'' = -(g / l) sin lean, at sixty degrees, by second differences."""
    swing, step = Swing(1.3, math.radians(60.0), 0.0, 0.7), 1e-4
    for seconds in np.linspace(0.0, swing.period, 23):
        early, now, late = (swing.lean(seconds + k * step) for k in (-1, 0, 1))
        wanted = -GRAVITY / 1.3 * math.sin(now)
        assert (early - 2.0 * now + late) / step**2 == pytest.approx(wanted, abs=2e-6)
        assert swing.rate(seconds) == pytest.approx((late - early) / (2.0 * step), abs=1e-6)


def test_no_energy_is_lost_and_the_ends_are_the_amplitude():
    swing = Swing(0.8, math.radians(35.0), 1.0, 0.0)
    assert swing.lean(0.0) == pytest.approx(math.radians(35.0))
    assert swing.lean(swing.period / 2.0) == pytest.approx(-math.radians(35.0))
    assert swing.rate(swing.period / 4.0) == pytest.approx(-swing.fastest)
    height = GRAVITY * 0.8 * (1.0 - math.cos(math.radians(35.0)))
    for seconds in np.linspace(0.0, 5.0, 19):
        lean, rate = swing.lean(seconds), swing.rate(seconds)
        energy = 0.5 * (0.8 * rate) ** 2 + GRAVITY * 0.8 * (1.0 - math.cos(lean))
        assert energy == pytest.approx(height, rel=1e-9)


def test_the_cord_leans_towards_its_azimuth():
    swing = Swing(2.0, 0.3, math.radians(120.0), 0.0)
    down = swing.rotation(0.3) @ np.array([0.0, 0.0, -1.0])
    level = math.sin(0.3) * np.array([math.cos(2.0 * math.pi / 3.0), math.sin(2.0 * math.pi / 3.0)])
    assert down == pytest.approx([*level, -math.cos(0.3)])
    turn = swing.rotation(0.3)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-15)
    assert turn @ swing.axis == pytest.approx(swing.axis)


def test_a_twist_is_a_harmonic_about_its_middle():
    twist, step = Twist(6.0 * math.pi, 20.0, 0.4), 1e-3
    assert twist.angle(3.0 + 20.0 * 7) == pytest.approx(twist.angle(3.0), abs=1e-9)
    early, now, late = (twist.angle(3.0 + k * step) for k in (-1, 0, 1))
    slow = (2.0 * math.pi / 20.0) ** 2
    assert (early - 2.0 * now + late) / step**2 == pytest.approx(-slow * now, rel=1e-4)
    assert twist.rate(3.0) == pytest.approx((late - early) / (2.0 * step), rel=1e-6)
    assert max(abs(twist.rate(t)) for t in np.linspace(0, 20, 201)) <= twist.fastest
