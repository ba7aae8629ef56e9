"""The dome's surfaces against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.surfaces.equal_area import points
from glint.room.charts import chart_of
from glint.room.dome import dome

GREY = np.full(3, 0.5)


def charted(surface, texels):
    chart = chart_of(surface, texels)
    return chart, *points(chart.kind, chart.size, chart.place, chart.form)


@pytest.mark.parametrize("rise, wall", [(4.0, 0.0), (4.0, 1.5), (2.5, 0.0), (1.0, 2.0)])
def test_texels_share_out_the_area(rise, wall):
    # A cap's area is 2 pi R h (Archimedes), with R = (a**2 + h**2) / 2 h from the chord theorem.
    room = dome(4.0, rise, wall, GREY, GREY, 0.3)
    sphere = (16 + rise**2) / (2 * rise)
    expected = {"dome": 2 * math.pi * sphere * rise, "floor": 16 * math.pi}
    if wall:
        expected["wall"] = 8 * math.pi * wall
    assert {s.name for s in room.surfaces} == set(expected)
    for surface in room.surfaces:
        chart, inside, _ = charted(surface, 400)
        assert surface.area == pytest.approx(expected[surface.name])
        assert inside.sum() * chart.texel_area == pytest.approx(surface.area, rel=2e-3)


def test_the_cap_meets_the_wall_and_the_wall_meets_the_floor():
    room = dome(4.0, 2.5, 1.5, GREY, GREY, 0.3)
    _, inside, cap = charted(room.surfaces[0], 2000)
    low = cap[inside][cap[inside][:, 2].argmin()]
    assert math.hypot(low[0], low[1]) == pytest.approx(4.0, abs=0.01)
    assert low[2] == pytest.approx(1.5, abs=0.01)
    assert room.height == pytest.approx(4.0)
    _, _, wall = charted(room.surfaces[1], 400)
    assert np.hypot(wall[..., 0], wall[..., 1]) == pytest.approx(4.0)
    assert wall[0, 0, 2] > wall[-1, 0, 2] > 0.0


def test_clearance_is_the_distance_to_the_nearest_surface():
    room = dome(4.0, 4.0, 0.0, GREY, GREY, 0.3)
    assert room.clearance(np.array([0, 0, 1.0])) == pytest.approx(1.0)
    assert room.clearance(np.array([0, 0, 3.5])) == pytest.approx(0.5)
    assert room.clearance(np.array([5.0, 0, 1.0])) < 0.0


def test_interreflection_is_that_of_an_integrating_sphere():
    # Goebel 1967: with one reflectance rho everywhere, rho / (1 - rho) of the first flux over
    # the whole area. All of it together must be what the room absorbs: E rho-less flux balance.
    room = dome(4.0, 4.0, 0.0, GREY, GREY, 0.0)
    area = sum(s.area for s in room.surfaces)
    landed = {"dome": np.full(3, 60.0), "floor": np.full(3, 40.0)}
    extra = room.interreflected(landed)
    assert extra == pytest.approx(np.full(3, 100.0 * 0.5 / 0.5 / area))
    assert (extra * area + 100.0) * (1 - 0.5) == pytest.approx(np.full(3, 100.0))


@pytest.mark.parametrize("open_share", [0.0, 0.5, 1.0])
def test_a_flat_dome_over_large_triangles_has_none_to_leave_open(open_share):
    """No triangle of an icosahedron has its middle above the rim of so flat a cap."""
    flat = dome(4.0, 0.8, 0.0, np.ones(3), np.ones(3), 0.3, 1, 0.03, open_share)
    assert flat.surfaces[0].open == 0.0
    high = dome(4.0, 4.0, 0.0, np.ones(3), np.ones(3), 0.3, 1, 0.03, open_share)
    assert high.surfaces[0].open == open_share
