"""The light that bounces about in the room against the multiplier of an integrating sphere."""

from __future__ import annotations

import numpy as np
import pytest

from glint.lighting.illumination import light
from glint.scene.build import build
from glint.schema.read import scene_of


@pytest.mark.parametrize(("fabric", "floor"), [(0.6, 0.2), (0.9, 0.9), (0.3, 0.0), (0.0, 0.0)])
def test_the_even_light_is_that_of_an_integrating_sphere(fabric, floor):
    # Goebel (Applied Optics 6, 125-128, 1967), from memory: of light that falls on a wall of
    # reflectance r0 in a sphere of mean reflectance r, r0 / (1 - r) times as much is spread over
    # all of it. Worked out here as the sum of all rounds, each of which the whole area shares.
    room = {
        "radius_m": 4.0,
        "reflectance": fabric,
        "floor_reflectance": floor,
        "ambient_lux": 0.25,
    }
    ball = {"shape": {"base": "rings", "diameter_m": 0.3}, "hang": {"height_m": 2.4}}
    scene = build(scene_of({"room": room, "ball": [ball]}))
    maps = light(scene.at(degrees=0.0), 256)
    shares = {"dome": fabric, "floor": floor}
    areas = {"dome": 2 * np.pi * 16.0, "floor": np.pi * 16.0}
    assert set(maps) == set(shares)
    area = sum(areas.values())
    going = np.zeros(3)
    for name, found in maps.items():
        landed = found.lux.sum(axis=(0, 1), dtype=float) * found.chart.texel_area
        going += shares[name] * landed
    even = np.zeros(3)
    for _ in range(2000):
        even += going / area
        going = sum(shares[name] * going * areas[name] / area for name in areas)
    assert fabric == 0.0 or even.min() > 0.1
    for found in maps.values():
        assert found.ambient - 0.25 == pytest.approx(even, rel=2e-3, abs=1e-12)
