"""The dome's map against Snyder's worked example of the projection."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.surfaces.equal_area import point
from glint.kernels.surfaces.kinds import CAP

# Snyder, Map Projections: a Working Manual, USGS Professional Paper 1395 (1987), appendix A, the
# numerical example of the Lambert azimuthal equal-area projection of the sphere, oblique aspect.
# Digits from memory; the first test works them out again by equations 24-2, 22-4 and 22-5.
RADIUS, CENTRE, PLACE = 3.0, (40.0, -100.0), (-20.0, 100.0)
X, Y = -4.2339303, 4.0257775


def local(place, centre) -> tuple[float, float, float]:
    """East, north and up, on the unit sphere, of a (latitude, longitude) seen from another."""
    phi, first = math.radians(place[0]), math.radians(centre[0])
    turn = math.radians(place[1] - centre[1])
    east = math.cos(phi) * math.sin(turn)
    north = math.cos(first) * math.sin(phi) - math.sin(first) * math.cos(phi) * math.cos(turn)
    up = math.sin(first) * math.sin(phi) + math.cos(first) * math.cos(phi) * math.cos(turn)
    return east, north, up


def test_the_example_agrees_with_the_equations():
    east, north, up = local(PLACE, CENTRE)
    stretch = math.sqrt(2 / (1 + up))
    assert RADIUS * stretch * east == pytest.approx(X, abs=5e-8)
    assert RADIUS * stretch * north == pytest.approx(Y, abs=5e-8)


def test_a_texel_of_the_dome_lies_where_the_example_puts_it():
    form = np.array([0.0, 0.0, 0.0, RADIUS, 2 * RADIUS])
    inside, x, y, z, *normal = point(CAP, form, X, Y)
    assert inside
    expected = RADIUS * np.array(local(PLACE, CENTRE))
    assert (x, y, z) == pytest.approx(tuple(expected), abs=2e-7)
    assert normal == pytest.approx(list(-expected / RADIUS), abs=1e-7)


@pytest.mark.parametrize("angle", [10.0, 45.0, 90.0, 120.0])
def test_the_scale_along_and_across_a_radius(angle):
    # Snyder (1987), chapter 24, from memory: at an angle c from the middle the scale is
    # h' = cos(c / 2) along the radius and k' = sec(c / 2) across it; their product keeps areas.
    form = np.array([0.0, 0.0, 0.0, 1.0, 2.0])
    half = math.radians(angle) / 2
    far = 2 * math.sin(half)
    step = 1e-6

    def place(across, up):
        return np.array(point(CAP, form, across, up)[1:4])

    along = np.linalg.norm(place(far + step, 0) - place(far - step, 0)) / (2 * step)
    across = np.linalg.norm(place(far, step) - place(far, -step)) / (2 * step)
    assert 1 / along == pytest.approx(math.cos(half), rel=1e-6)
    assert 1 / across == pytest.approx(1 / math.cos(half), rel=1e-6)
