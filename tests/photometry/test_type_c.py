"""What follows from measured candela: symmetry, lumens, tilt."""

from __future__ import annotations

import numpy as np
import pytest

from glint.photometry.type_c import Photometry


def measured(horizontal, candela, vertical=(0.0, 45.0, 90.0), tilts=((), ())):
    return Photometry(
        edition=2002,
        vertical_angles=np.array(vertical, float),
        horizontal_angles=np.array(horizontal, float),
        candela=np.array(candela, float),
        rated_lumens=None,
        watts=0.0,
        tilt_angles=np.array(tilts[0], float),
        tilt_factors=np.array(tilts[1], float),
    )


def falling(levels):
    """Rows of candela at 0, 45 and 90 degrees for levels at 45 degrees."""
    return [[10.0, level, 0.0] for level in levels]


# Level at 45 degrees from the axis, every 45 degrees round it, by what the file leaves out.
ROUND = measured([0], falling([5]))
QUADRANT = measured([0, 45, 90], falling([1, 2, 3]))
HALF = measured([0, 45, 90, 135, 180], falling([1, 2, 3, 4, 5]))
OTHER_HALF = measured([90, 135, 180, 225, 270], falling([1, 2, 3, 4, 5]))
WHOLE = measured(range(0, 361, 45), falling([1, 2, 3, 4, 5, 6, 7, 8, 1]))
NOT_CLOSED = measured(range(0, 316, 45), falling([1, 2, 3, 4, 5, 6, 7, 8]))


@pytest.mark.parametrize(
    ("photometry", "levels"),
    [
        (ROUND, [5, 5, 5, 5, 5, 5, 5, 5]),
        (QUADRANT, [1, 2, 3, 2, 1, 2, 3, 2]),
        (HALF, [1, 2, 3, 4, 5, 4, 3, 2]),
        (OTHER_HALF, [3, 2, 1, 2, 3, 4, 5, 4]),
        (WHOLE, [1, 2, 3, 4, 5, 6, 7, 8]),
        (NOT_CLOSED, [1, 2, 3, 4, 5, 6, 7, 8]),
    ],
)
def test_symmetry_puts_in_what_was_left_out(photometry, levels):
    around = np.arange(0, 360, 45.0)
    for turn in (0.0, 360.0, -360.0):
        assert photometry.candela_at(45.0, around + turn)[:, 0] == pytest.approx(levels)
    half_way = (np.array(levels) + np.roll(levels, -1)) / 2
    assert photometry.candela_at(45.0, around + 22.5)[:, 0] == pytest.approx(half_way)
    # The mean of the straight lines between the levels is that of the levels.
    even = photometry.lumens() / measured([0], falling([np.mean(levels)])).lumens()
    assert even == pytest.approx(1.0)


def test_candela_are_linear_in_between_and_none_beyond():
    assert ROUND.candela_at([0, 9, 45, 60, 90, 91], 0.0)[0] == pytest.approx(
        [10, 9, 5, 5 * 2 / 3, 0, 0]
    )
    assert HALF.candela_at([22.5, 45], [0, 10, 20]).shape == (3, 2)


def test_lumens_are_the_integral_of_the_straight_lines():
    gamma = np.linspace(0, np.pi / 2, 200_001)
    candela = np.interp(gamma, np.radians([0, 45, 90]), [10, 5, 0])
    middle = 0.5 * (candela * np.sin(gamma))[1:] + 0.5 * (candela * np.sin(gamma))[:-1]
    expected = 2 * np.pi * np.sum(middle) * (gamma[1] - gamma[0])
    assert ROUND.lumens() == pytest.approx(expected, rel=1e-9)
    parts = [ROUND.lumens(low, low + 30) for low in range(0, 180, 30)]
    assert sum(parts) == pytest.approx(expected, rel=1e-9)
    assert parts[3:] == [0.0, 0.0, 0.0]


def test_tilt_is_linear_in_between_and_even_beyond():
    lamp = measured([0], falling([5]), tilts=((0, 90, 120), (1.0, 0.8, 0.9)))
    found = [lamp.tilt_factor(angle) for angle in (0, 45, 90, 105, 120, 180)]
    assert found == pytest.approx([1.0, 0.9, 0.8, 0.85, 0.9, 0.9])
    assert ROUND.tilt_factor(77.0) == 1.0
