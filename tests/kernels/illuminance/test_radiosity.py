"""Bounced light against integrating spheres and the conservation of light."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.illuminance.radiosity import bounced, coarse_means, patches_of, spread_out
from glint.room.bell import bell
from glint.room.charts import chart_of
from glint.room.dome import dome
from glint.room.hall import hall

GREY = np.full(3, 0.5)
ROOMS = {
    "dome": dome(4.0, 4.0, 0.8, GREY, GREY, 0.0),
    "bell": bell(3.0, 2.6, 0.8, 0.0, GREY, GREY, 0.0),
    "hall": hall(9.0, 6.0, 3.5, GREY, GREY, 0.0),
}


def patches(name, texels=16):
    return patches_of(tuple(chart_of(surface, texels) for surface in ROOMS[name].surfaces))


@pytest.mark.parametrize("name", ROOMS)
def test_even_light_is_multiplied_as_in_an_integrating_sphere(name):
    # Goebel 1967: rho / (1 - rho) of an even illuminance comes back.
    found = patches(name)
    number = len(found.area)
    soft = bounced(found, np.full((number, 3), 10.0), np.full((number, 3), 0.6))
    assert soft == pytest.approx(np.full((number, 3), 15.0), rel=1e-5)


@pytest.mark.parametrize("name", ROOMS)
def test_the_room_absorbs_what_falls_on_it(name):
    found = patches(name)
    number = len(found.area)
    direct, paint = np.zeros((number, 3)), np.full((number, 3), 0.6)
    direct[: number // 6] = 30.0
    total = direct + bounced(found, direct, paint)
    absorbed = ((1 - paint) * total * found.area[:, None]).sum(axis=0)
    assert absorbed == pytest.approx((direct * found.area[:, None]).sum(axis=0), rel=0.02)


def test_light_on_a_sphere_comes_back_the_same_everywhere_on_it():
    # Any two elements of a sphere see each other alike, dA / (4 pi R**2): the integrating sphere.
    found = patches("dome", 24)
    cap = int(found.inside[0].sum())
    direct = np.zeros((len(found.area), 1))
    direct[cap // 3] = 100.0
    soft = (found.give @ direct)[:cap, 0]
    away = np.arange(cap) != cap // 3
    expected = 100.0 * found.area[cap // 3] / (4 * np.pi * 16.0)
    assert np.median(soft[away]) == pytest.approx(expected, rel=0.05)
    near = np.percentile(soft[away], [5, 95])
    assert near == pytest.approx([expected, expected], rel=0.1)


def test_means_and_smooth_maps_are_each_others_inverse_for_even_light():
    found = patches("bell")
    sizes = [(160, 160), (chart_of(ROOMS["bell"].surfaces[1], 160).size), (160, 160)]
    sizes = [(int(h), int(w)) for h, w in sizes]
    even = np.full((len(found.area), 3), 4.0)
    every = spread_out(found, even, sizes)
    assert every == pytest.approx(4.0)
    ends = np.cumsum([height * width for height, width in sizes])
    maps = [
        one.reshape(*size, 3) for one, size in zip(np.split(every, ends[:-1]), sizes, strict=True)
    ]
    from glint.kernels.surfaces.equal_area import points

    for number, surface in enumerate(ROOMS["bell"].surfaces):
        chart = chart_of(surface, 160)
        inside, _ = points(chart.kind, chart.size, chart.place, chart.form)
        maps[number] = maps[number] * inside[..., None]
    assert coarse_means(found, maps) == pytest.approx(even, rel=0.12)
