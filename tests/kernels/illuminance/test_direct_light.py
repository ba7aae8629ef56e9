"""Direct light and shadows against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from glint.kernels.illuminance.direct_light import Silhouettes, add_direct_light
from tests.kernels.setups import dome_chart, floor_chart, round_lamp

ONE = np.zeros(1, np.int64)


def cut_out(corners) -> Silhouettes:
    corners = np.asarray(corners, float)
    edges = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    return Silhouettes(edges, np.array([0, len(edges)]), ONE, ONE)


NONE = np.zeros(0, np.int64)
NOTHING = Silhouettes(np.zeros((0, 2, 3)), np.zeros(1, np.int64), NONE, NONE)


def spilt(lamps, silhouettes, chart):
    lux = np.zeros((*chart.size, 3), np.float32)
    add_direct_light(lamps, silhouettes, chart, lux)
    return lux[..., 1].astype(float)


def test_all_of_a_lamp_lands_in_the_dome():
    lamps = round_lamp((0.5, 0.2, 0.3), (0, 0, 3.0))
    chart = dome_chart(512, 4.0)
    landed = spilt(lamps, NOTHING, chart).sum() * chart.texel_area
    assert landed == pytest.approx(lamps.lumens[0], rel=2e-3)


def test_under_the_lamp_inverse_square_and_cosine():
    # IES Lighting Handbook: E = I cos(theta) / d**2; 20,000 cd at 2 m on the axis are 5,000 lx.
    lux = spilt(round_lamp((0, 0, 2.0), (0, 0, 0), 0.0), NOTHING, floor_chart(65, 1.0))
    assert lux[32, 32] == pytest.approx(5000.0, rel=1e-5)


def test_the_shadow_of_a_half_plane_has_the_penumbra_of_a_disc():
    # A straight edge half-way down: a point x beside the shadow's middle sees the edge cross the
    # lens at -x, and the lit share is that of a circular segment (any table of plane areas).
    radius = 0.1
    lamps = round_lamp((0, 0, 2.0), (0, 0, 0), radius, beam=1.5)
    edge = [(0, -5, 1.0), (5, -5, 1.0), (5, 5, 1.0), (0, 5, 1.0)]
    chart = floor_chart(101, 0.5)
    shaded = spilt(lamps, cut_out(edge), chart)[50]
    free = spilt(lamps, NOTHING, chart)[50]
    x = chart.place[0] + np.arange(101) * chart.place[1]
    h = np.clip(x / radius, -1, 1)
    segment = (np.arccos(h) - h * np.sqrt(1 - h * h)) / math.pi
    assert shaded / free == pytest.approx(segment, abs=4e-3)


@pytest.mark.parametrize("backwards", [False, True])
def test_a_shadow_takes_what_the_cut_out_covers(backwards):
    # A square of side 0.2 m, 1 m below an even beam, covers a solid angle of
    # 4 atan(a**2 / (h sqrt(2 a**2 + h**2))), a half the side (Van Oosterom & Strackee 1983, eq. 8).
    lamps = round_lamp((0, 0, 3.0), (0, 0, 0), 0.02, beam=3.0, peak=1000.0)
    corners = [(-0.1, -0.1, 2.0), (0.1, -0.1, 2.0), (0.1, 0.1, 2.0), (-0.1, 0.1, 2.0)]
    chart = floor_chart(800, 1.0)
    silhouette = cut_out(corners[::-1] if backwards else corners)
    lost = (spilt(lamps, NOTHING, chart) - spilt(lamps, silhouette, chart)).sum() * chart.texel_area
    solid = 4 * math.atan(0.01 / math.sqrt(2 * 0.01 + 1))
    assert lost == pytest.approx(1000.0 * solid, rel=4e-3)


def comb(teeth: int, depth: float) -> np.ndarray:
    """A star of many teeth 1 m below the lamp: a silhouette with all its edges near and far."""
    angle = np.arange(2 * teeth) * math.pi / teeth
    reach = np.where(np.arange(2 * teeth) % 2, 0.2, 0.2 - depth)
    return np.stack([reach * np.cos(angle), reach * np.sin(angle), np.full(2 * teeth, 1.0)], axis=1)


@pytest.mark.parametrize("radius", [0.0, 0.003, 0.05])
@pytest.mark.parametrize("tilt", [0.0, 1e-5])
def test_a_toothed_shadow_is_dark_just_where_the_lens_is_hidden(radius, tilt):
    # Points of the lens are asked one by one; a tilted cut-out is looked at in another way.
    lamps = round_lamp((0, 0, 2.0), (0, 0, 0), radius, beam=1.5)
    corners = comb(9, 0.12)
    corners[:, 2] += tilt * corners[:, 0]
    chart = floor_chart(120, 0.5)
    free = spilt(lamps, NOTHING, chart)
    share = spilt(lamps, cut_out(corners), chart) / np.where(free > 0.0, free, np.inf)
    x, y = (chart.place[k] + np.arange(120) * chart.place[k + 1] for k in (0, 2))
    r, a = np.sqrt(np.arange(200) / 200 + 0.0025), 2.399963 * np.arange(200)
    dots = radius * np.stack([r * np.cos(a), r * np.sin(a)], axis=1)
    teeth = shapely.Polygon(corners[:, :2])
    at = np.stack(np.meshgrid(x, y), axis=-1)
    # From (x, y) on the floor, the point of the plane half-way up on the line to a dot.
    halves = 0.5 * (at[:, :, None] + dots)
    seen = 1.0 - shapely.contains_xy(teeth, halves[..., 0], halves[..., 1]).mean(axis=2)
    seen[free == 0.0] = 0.0
    assert share == pytest.approx(seen, abs=0.035)
    assert np.abs(share - seen).mean() < 2e-3
