"""Single spots against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.beams.trace import trace
from glint.kernels.geometry.occluder_lists import no_occluders
from glint.kernels.illuminance.spot_moments import measure_spots
from tests.kernels.setups import dome_chart, floor_chart, plates, round_lamp


def spot_of(tile, lamps, chart):
    polygons = plates([tile])
    beams, _ = trace(polygons, no_occluders(1), lamps)
    return measure_spots(beams, lamps, np.array([0, 1]), chart)[0], beams


def test_a_tiny_tile_throws_an_image_of_the_lens():
    # As through a pinhole: an even disc of the lens's radius times the ratio of the distances.
    lamps = round_lamp((0, 0, 1.0), (0, 0, 3.0), 0.05, beam=1.5)
    spot, beams = spot_of(((0, 0, 3.0), (0, 0, -1), 0.004), lamps, floor_chart(512, 2.0))
    radius = 0.05 * 3.0 / 2.0
    # The window itself spreads the image: variances add (side 4 mm, magnified 5 / 2 times).
    blur = 4 * math.pi * (0.004 * 2.5) ** 2 / 12
    assert spot[5] == pytest.approx(math.pi * radius**2 + blur, rel=6e-3)
    assert spot[2:5] == pytest.approx([0, 0, 0], abs=1e-3)
    assert spot[0] == pytest.approx(beams.lumens[0], rel=4e-3)
    # E = L * (window's solid angle from the floor) ; L = I / lens area, no loss.
    candela = 20000.0
    assert spot[1] == pytest.approx(candela / (math.pi * 0.05**2) * 0.004**2 / 9.0, rel=6e-3)


def test_a_point_lamp_throws_the_tile_itself():
    # A square of side a has variance a**2 / 12 along each side: area 4 pi a**2 / 12 (ISO 11146-1).
    lamps = round_lamp((0, 0, 1.0), (0, 0, 3.0), 0.0, beam=1.5)
    spot, _ = spot_of(((0, 0, 3.0), (0, 0, -1), 0.04), lamps, floor_chart(512, 2.0))
    side = 0.04 * 5.0 / 2.0
    # A sharp edge falls between two samples of 64: three per cent of the area at the most.
    assert spot[5] == pytest.approx(4 * math.pi * side**2 / 12, rel=4e-2)


def test_a_spot_lies_where_the_law_of_reflection_puts_it():
    lamps = round_lamp((3.0, 0, 1.6), (0, 0, 2.0))
    normal = np.array([1.0, 0.4, 0.5]) / math.sqrt(1.41)
    centre = np.array([0, 0, 2.0])
    spot, beams = spot_of((centre, normal, 0.025), lamps, dome_chart(512, 4.0))
    incoming = centre - lamps.position[0]
    ray = incoming - 2 * (incoming @ normal) * normal
    ray /= np.linalg.norm(ray)
    along = -centre @ ray + math.sqrt((centre @ ray) ** 2 - centre @ centre + 16)
    assert spot[2:5] == pytest.approx(centre + along * ray, abs=5e-3)
    assert spot[0] == pytest.approx(beams.lumens[0], rel=5e-3)
