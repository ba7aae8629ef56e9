"""Candela and the lumens through a window, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.arrays import MOST_CORNERS, Lamps
from glint.kernels.sources.luminous_intensity import window_lumens


def even_lamp(candela: float) -> Lamps:
    """A point lamp that shines alike in every direction of its front half."""
    return Lamps(
        position=np.zeros((1, 3)),
        frame=np.eye(3)[None],
        lens_radius=np.zeros(1),
        colour=np.ones((1, 3)),
        lumens=np.array([2 * math.pi * candela]),
        candela=np.full((1, 1, 64), candela),
        spread=np.zeros((1, 1, 64)),
        planes=np.ones(1, np.int64),
        sine_end=np.array([math.sin(math.pi / 4) * 1.001]),
        sphere=np.zeros(1),
    )


def solid_angle(a, b, c) -> float:
    """Van Oosterom & Strackee (1983), equation 8."""
    a, b, c = (v / np.linalg.norm(v) for v in (a, b, c))
    return 2 * math.atan2(abs(a @ np.cross(b, c)), 1 + a @ b + b @ c + c @ a)


@pytest.mark.parametrize("height", [0.3, 1.0, 3.0])
def test_lumens_of_an_even_lamp_are_candela_times_solid_angle(height):
    corners = np.array([[-0.1, 0.2, height], [0.3, 0.1, height + 0.05], [0.1, -0.2, height]])
    assert even_lumens(corners) == pytest.approx(50.0 * solid_angle(*corners), rel=1e-6)


@pytest.mark.parametrize("width", [4.0, 0.5, 0.01, 1e-6])
def test_a_sliver_from_side_to_side_is_as_exact(width):
    corners = np.array([[-2.0, 2.0, 0.5], [2.0, 1.0, 0.5], [2.0, 1.0 - width, 0.5]])
    assert even_lumens(corners) == pytest.approx(50.0 * solid_angle(*corners), rel=1e-6)
    assert even_lumens(corners[::-1]) == pytest.approx(50.0 * solid_angle(*corners), rel=1e-5)


def even_lumens(corners) -> float:
    window = np.zeros((MOST_CORNERS, 3))
    window[:3] = corners
    return window_lumens(even_lamp(50.0), 0, np.zeros(3), np.eye(3), window, 3)
