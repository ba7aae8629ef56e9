"""Light maps against the inverse-square law, conservation of light, and thread counts."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.beams.trace import trace
from glint.kernels.geometry.occluder_lists import no_occluders
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.runtime.threads import at_most
from glint.kernels.surfaces.equal_area import points
from tests.kernels.setups import dome_chart, floor_chart, plates, round_lamp


def lit(chart, polygons, lamps):
    beams, _ = trace(polygons, no_occluders(len(polygons.sides)), lamps)
    lux = np.zeros((*chart.size, 3), np.float32)
    add_beams(beams, lamps, chart, lux)
    return lux, beams


def test_a_large_mirror_lights_the_floor_by_inverse_square_and_cosine():
    # IES Lighting Handbook, inverse-square cosine law: E = I cos(theta) / d**2 from the image.
    lamps = round_lamp((0.2, 0, 1.0), (0, 0, 3.0), lens_radius=0.0, beam=0.4)
    chart = floor_chart(128, 2.0)
    lux, _ = lit(chart, plates([((0, 0, 3), (0, 0, -1), 2.0)]), lamps)
    place = np.array([chart.place[0] + 64 * chart.place[1], chart.place[2] + 60 * chart.place[3]])
    image = np.array([0.2, 0, 5.0])
    ray = np.array([*place, 0.0]) - image
    distance = np.linalg.norm(ray)
    axis = lamps.frame[0, 2] * [1, 1, -1]
    gamma = np.arccos(ray @ axis / distance)
    candela = np.interp(
        np.sin(gamma / 2), np.linspace(0, lamps.sine_end[0], 2048), lamps.candela[0, 0]
    )
    # A point-like lens has sharp shadows, so a texel holds a mean over its 31 mm, not its centre.
    expected = candela * (-ray[2] / distance) / distance**2
    assert lux[60, 64, 1] == pytest.approx(expected, rel=3e-4)


@pytest.mark.parametrize("lens_radius", [0.002, 0.03, 0.06])
def test_the_dome_receives_what_the_tiles_send(lens_radius):
    tiles = plates(
        [
            ((0, 0, 2), (np.cos(a), np.sin(a), u), 0.025)
            for a in (0.0, 0.5, -0.4)
            for u in (0.2, 0.6)
        ],
        reflectance=0.86,
    )
    lamps = round_lamp((3, 0, 1.6), (0, 0, 2), lens_radius)
    chart = dome_chart(1024, 4.0)
    lux, beams = lit(chart, tiles, lamps)
    assert len(beams.lumens) == 6
    landed = float(lux[..., 1].sum(dtype=np.float64)) * chart.texel_area
    assert landed == pytest.approx(beams.lumens.sum(), rel=3e-3)


def test_the_pattern_is_the_same_to_the_last_bit_on_any_number_of_threads():
    tiles = plates([((0, 0, 2), (1.0, a, 0.4), 0.025) for a in np.linspace(-0.5, 0.5, 40)])
    lamps = round_lamp((3, 0, 1.6), (0, 0, 2))
    maps = []
    for number in (1, 2, 3, 7):
        with at_most(number):
            maps.append(lit(dome_chart(512, 4.0), tiles, lamps)[0])
    assert all(np.array_equal(maps[0], other) for other in maps)


def test_texels_of_the_dome_have_equal_areas_and_lie_on_the_sphere():
    # Lambert's projection keeps areas (Snyder 1987, USGS PP 1395, p. 182): the texels inside
    # share out the half-sphere's 2 pi R**2.
    chart = dome_chart(512, 4.0)
    inside, found = points(chart.kind, chart.size, chart.place, chart.form)
    assert np.linalg.norm(found[inside], axis=1) == pytest.approx(4.0)
    assert inside.sum() * chart.texel_area == pytest.approx(2 * np.pi * 16, rel=2e-3)
    high = inside & (found[..., 2] > 2.0)
    assert high.sum() * chart.texel_area == pytest.approx(2 * np.pi * 4.0 * 2.0, rel=3e-3)


def test_the_dome_is_seen_lying_on_the_back():
    chart = dome_chart(64, 4.0)
    _, found = points(chart.kind, chart.size, chart.place, chart.form)
    assert found[0, 32, 1] > 3.0
    assert found[32, 4, 0] > 3.0


@pytest.mark.parametrize("width", [509, 516])
def test_a_map_of_any_width_takes_all_light_and_writes_nowhere_else(width):
    # Seven tiles throw their spots right up to the rim.
    tiles = plates([((0, 0, 2), (np.cos(a), np.sin(a), 0.05), 0.05) for a in np.linspace(-1, 1, 7)])
    chart = dome_chart(width, 4.0)
    lamps = round_lamp((3, 0, 2.6), (0, 0, 2), 0.03)
    beams, _ = trace(tiles, no_occluders(len(tiles.sides)), lamps)
    around = np.full((width + 32, width, 3), 7.0, np.float32)
    lux = around[16:-16]
    lux[:] = 0.0
    add_beams(beams, lamps, chart, lux)
    assert (around[:16] == 7.0).all() and (around[-16:] == 7.0).all()
    landed = float(lux[..., 1].sum(dtype=np.float64)) * chart.texel_area
    assert len(beams.lumens) == 7
    assert landed == pytest.approx(beams.lumens.sum(), rel=5e-3)


def test_a_spot_across_the_borders_of_halls_is_the_same_as_in_the_middle_of_one():
    # The same spot on a level floor, its chart shifted by texels: borders move, light does not.
    tile = plates([((0, 0, 3), (0.02, 0.01, -1), 0.04)])
    lamps = round_lamp((0.3, 0.2, 0.5), (0, 0, 3.0), 0.02)
    beams, _ = trace(tile, no_occluders(len(tile.sides)), lamps)
    found = []
    for shift in range(64):
        chart = floor_chart(192, 2.0)
        chart.place[:] += [shift * chart.place[1], 0.0, shift * chart.place[3], 0.0]
        lux = np.zeros((*chart.size, 3), np.float32)
        add_beams(beams, lamps, chart, lux)
        found.append(np.sort(lux[lux[..., 1] > 1e-3][:, 1]))
    assert len(found[0]) > 50
    assert all(np.allclose(found[0], other, rtol=1e-4, atol=1e-5) for other in found)
