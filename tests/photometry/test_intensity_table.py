"""Tables of candela: beams given by angles, measured ones, and what a wide lens adds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.photometry.intensity_table import (
    COLUMNS,
    FAINTEST,
    Intensity,
    candela_at,
    from_beam,
    from_lm63,
    lumens_of,
    scaled,
    smoothed,
)
from glint.photometry.readers.lm63 import read_lm63
from tests.photometry.files import lamp_file

GAUSS = math.sqrt(math.log2(10))
"""Field over beam of a Gauss bell."""


def bell(beam_deg: float, peak: float = 1.0) -> Intensity:
    beam = math.radians(beam_deg)
    return from_beam(beam, GAUSS * beam, peak=peak)


def measured(*args, **keys) -> Intensity:
    return from_lm63(read_lm63(lamp_file(*args, **keys).encode(), "test.ies"))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 160.0), st.floats(1.05, 3.3), st.floats(1.0, 1e6))
def test_half_at_the_beam_and_a_tenth_at_the_field(beam_deg, ratio, peak):
    beam, field = math.radians(beam_deg), math.radians(min(ratio * beam_deg, 179.0))
    if field < 1.05 * beam:
        return
    lamp = from_beam(beam, field, peak=peak)
    found = candela_at(lamp, [0.0, beam / 2, field / 2]) / peak
    assert found == pytest.approx([1.0, 0.5, 0.1], abs=1e-5)


@pytest.mark.parametrize("ratio", [1.05, 1.3, 1.7, GAUSS, 3.3])
def test_a_table_is_within_a_hundred_thousandth_of_its_formula(ratio):
    beam = math.radians(7.0)
    lamp = from_beam(beam, ratio * beam)
    assert lamp.candela.shape == (1, COLUMNS)
    gamma = np.linspace(0, 2 * math.asin(lamp.s_end), 100_003)
    power = math.log(math.log2(10)) / math.log(ratio)
    formula = np.exp(-math.log(2) * (2 * gamma / beam) ** power)
    assert np.abs(candela_at(lamp, gamma) - formula).max() < 1e-5
    assert lamp.candela[0, -1] == pytest.approx(FAINTEST)


def test_no_light_beyond_the_end_and_none_backwards():
    lamp = from_beam(math.radians(120), math.radians(170))
    assert lamp.s_end == pytest.approx(math.sin(math.pi / 4))
    assert candela_at(lamp, math.radians(89.9)) > 0
    assert candela_at(lamp, np.radians([90.1, 120, 180])).tolist() == [0, 0, 0]
    assert candela_at(bell(6.0), math.radians(30)) == 0


def test_lumens_given_are_lumens_got():
    for beam, field in ((1, 1.2), (6, 10.2), (60, 100), (160, 170)):
        lamp = from_beam(math.radians(beam), math.radians(field), lumens=70.0)
        assert lumens_of(lamp) == pytest.approx(70.0, rel=1e-12)
    assert lumens_of(scaled(lamp, 3.0)) == pytest.approx(210.0)


def test_lumens_of_a_table_are_those_of_its_straight_lines():
    # A cone in s: candela 1 - s / e; the integral of 8 pi s (1 - s / e) ds is 4 pi e² / 3.
    end = 0.2
    cone = Intensity(np.linspace(1.0, 0.0, 11)[None], end)
    assert lumens_of(cone) == pytest.approx(4 * math.pi * end**2 / 3, rel=1e-12)
    # Rows 1 and 3 times as bright, half a turn apart: twice on the average.
    uneven = Intensity(np.array([[1.0], [3.0], [1.0]]) * cone.candela, end)
    assert lumens_of(uneven) == pytest.approx(2 * lumens_of(cone), rel=1e-12)


def test_candela_between_rows_and_columns():
    table = np.array([[0.0, 10.0], [4.0, 14.0], [8.0, 18.0], [4.0, 14.0], [0.0, 10.0]])
    lamp = Intensity(table, 0.5)
    gamma = 2 * math.asin(0.25)
    azimuths = np.radians([0, 45, 90, 180, 225, 359.99999, 360, -90])
    found = candela_at(lamp, gamma, azimuths)
    assert found == pytest.approx([5, 7, 9, 13, 11, 5, 5, 9], abs=1e-5)
    assert candela_at(lamp, [[0.0], [gamma]], azimuths).shape == (2, 8)


def test_a_measured_beam_is_linear_between_its_angles_and_ends_where_it_does():
    lamp = measured((0, 4, 8, 20, 90), (0,), lambda v, _: max(80.0 - 10 * v, 0.0))
    assert lamp.candela.shape == (1, COLUMNS)
    assert 2 * math.asin(lamp.s_end) == pytest.approx(math.radians(8))
    found = candela_at(lamp, np.radians([0, 1, 2, 6, 7.5, 8.1]))
    assert found == pytest.approx([80, 70, 60, 20, 5, 0], abs=1e-3)


def test_a_measured_beam_that_stops_short_keeps_its_edge():
    lamp = measured((0, 5, 10), (0,), lambda v, _: 50.0)
    assert 2 * math.asin(lamp.s_end) == pytest.approx(math.radians(10))
    assert lamp.candela.min() == pytest.approx(50.0)


def test_light_behind_a_lamp_is_left_out():
    lamp = measured((0, 60, 120, 180), (0,), lambda v, _: 10.0)
    assert lamp.s_end == pytest.approx(math.sin(math.pi / 4))
    assert lumens_of(lamp) == pytest.approx(20 * math.pi, rel=1e-9)


def test_horizontal_angles_run_against_azimuth():
    around = range(0, 361, 30)
    lamp = measured((0, 20), around, lambda v, h: 100.0 + (h % 360) * (v > 0))
    assert lamp.candela.shape == (13, COLUMNS)
    edge = 2 * math.asin(lamp.s_end) * (1 - 1e-9)
    found = candela_at(lamp, edge, np.radians([0, 30, 90, 270]))
    assert found == pytest.approx([100, 430, 370, 190], abs=1e-3)


@pytest.mark.parametrize(
    ("horizontal", "rows"),
    [((0, 90), 9), ((0, 22.5, 90), 17), ((0, 5, 180), 73), ((0, 7.123, 180), 181)],
)
def test_rows_meet_the_measured_angles(horizontal, rows):
    lamp = measured((0, 10, 20), horizontal, lambda v, h: 100.0 + h)
    assert len(lamp.candela) == rows
    assert lamp.candela[0] == pytest.approx(lamp.candela[-1])


def dense(lamp: Intensity, gamma: float, azimuth: float, radius: float) -> float:
    """K by brute force: directions as vectors, tipped from the axis to where they point."""
    count = 300
    share, bearing = np.meshgrid((np.arange(count) + 0.5) / count, np.arange(count) / count)
    z = 1 - share * (1 - math.cos(radius))
    across = np.sqrt(1 - z * z)
    x, y = across * np.cos(2 * np.pi * bearing), across * np.sin(2 * np.pi * bearing)
    tipped_x = x * math.cos(gamma) + z * math.sin(gamma)
    tipped_z = z * math.cos(gamma) - x * math.sin(gamma)
    angle = np.arctan2(np.hypot(tipped_x, y), tipped_z)
    mean = candela_at(lamp, angle, azimuth + np.arctan2(y, tipped_x)).mean()
    return (mean - float(candela_at(lamp, gamma, azimuth))) / radius**2


def test_a_lens_adds_an_eighth_of_the_laplacian():
    # The mean over a disc of radius d is I + d² / 8 times the Laplacian of I, to second order; that
    # of exp(-k gamma²) in the plane is (4 k² gamma² - 4 k) exp(-k gamma²).
    lamp = bell(6.0)
    k = 4 * math.log(2) / math.radians(6.0) ** 2
    expected = np.exp(-k * lamp.gamma**2) * (k * k * lamp.gamma**2 - k) / 2
    found = smoothed(lamp, math.radians(0.1))[0]
    assert found == pytest.approx(expected, abs=0.003 * k)


@pytest.mark.parametrize("radius_deg", [0.1, 0.6, 2.0])
def test_a_kink_is_smoothed_as_wide_as_the_lens(radius_deg):
    radius = math.radians(radius_deg)
    lamp = measured((0, 2, 4, 8, 90), (0,), lambda v, _: {0: 90, 2: 90, 4: 30}.get(v, 0))
    found = smoothed(lamp, radius)[0]
    places = [0, *np.searchsorted(lamp.gamma, np.radians([1.9, 2.0, 2.05, 3.0, 4.0])), -1]
    expected = [dense(lamp, lamp.gamma[place], 0.0, radius) for place in places]
    assert found[places] == pytest.approx(expected, abs=0.01 * np.abs(found).max())


def test_a_disc_across_the_axis_of_a_lamp_that_is_not_round():
    lamp = measured(
        (0, 3, 6, 90), range(0, 361, 45), lambda v, h: (60 - 10 * v) * (1 + v * (h in (45, 90)))
        if v < 7 else 0.0,
    )  # fmt: skip
    radius = math.radians(1.0)
    found = smoothed(lamp, radius)
    scale = np.abs(found).max()
    for degrees in (0.0, 0.3, 0.9, 2.9, 4.4):
        column = int(np.searchsorted(lamp.gamma, math.radians(degrees)))
        for row in (0, 2, 5, 7, 8):
            azimuth = 2 * math.pi * row / 8
            expected = dense(lamp, lamp.gamma[column], azimuth, radius)
            assert found[row, column] == pytest.approx(expected, abs=0.02 * scale), (degrees, row)
    assert found[0] == pytest.approx(found[-1])
    assert found[:, 0] == pytest.approx(np.full(9, found[0, 0]), abs=0.02 * scale)


def test_a_round_beam_written_with_many_rows_is_smoothed_alike():
    one = bell(8.0)
    many = Intensity(np.repeat(one.candela, 9, axis=0), one.s_end)
    expected = smoothed(one, 0.01)
    assert smoothed(many, 0.01) == pytest.approx(
        np.repeat(expected, 9, axis=0), abs=1e-4 * np.abs(expected).max()
    )


def test_an_even_lamp_needs_no_smoothing_but_at_its_edge():
    even = Intensity(np.full((1, 500), 3.0), 0.3)
    found = smoothed(even, 0.02)[0]
    inside = even.gamma < even.gamma[-1] - 0.021
    assert found[inside] == pytest.approx(0.0, abs=1e-9)
    # On the edge of a wide beam about half of a small disc is dark.
    assert found[-1] * 0.02**2 == pytest.approx(-1.5, abs=0.1)


def test_no_lens_is_too_small_or_too_wide():
    lamp = bell(6.0)
    point, small = smoothed(lamp, 0.0), smoothed(lamp, 1e-4)
    assert np.isfinite(point).all()
    assert point == pytest.approx(small, abs=1e-3 * np.abs(small).max())
    assert np.isfinite(smoothed(lamp, 3.0)).all()


def test_lumens_stay_when_a_lens_spreads_them():
    lamp, radius = bell(6.0), 0.01
    wide = Intensity(lamp.candela + radius**2 * smoothed(lamp, radius), lamp.s_end)
    assert not np.allclose(wide.candela, lamp.candela, atol=1e-3)
    assert lumens_of(wide) == pytest.approx(lumens_of(lamp), rel=1e-4)
