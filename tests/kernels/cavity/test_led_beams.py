"""Light out of single openings against the pinhole's closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.arrays import Lamps, OccluderLists, Polygons
from glint.kernels.cavity.led_beams import leave
from glint.kernels.illuminance.light_map import add_beams
from tests.kernels.setups import floor_chart

NEAR, WAY = 0.2, 2.0
"""From an LED down to the plane of the hole, and on from there to the floor, m."""


def leds(points, radius=0.002, lumens=3.0) -> Lamps:
    points = np.asarray(points, float)
    number = len(points)
    return Lamps(
        position=points,
        frame=np.broadcast_to(np.eye(3), (number, 3, 3)).copy(),
        lens_radius=np.full(number, radius),
        colour=np.ones((number, 3)),
        lumens=np.full(number, lumens),
        candela=np.full((number, 1, 2), lumens / (4 * math.pi)),
        spread=np.zeros((number, 1, 2)),
        planes=np.ones(number, np.int64),
        sine_end=np.full(number, math.sqrt(0.5)),
        sphere=np.ones(number),
    )


def lit(holes, lamps, texels=512, half=0.6):
    """The floor under rectangles (x, y, wide, deep) cut into a plane WAY above it."""
    corners = np.array(
        [
            [(x - w / 2, y - d / 2, WAY), (x - w / 2, y + d / 2, WAY),
             (x + w / 2, y + d / 2, WAY), (x + w / 2, y - d / 2, WAY)]
            for x, y, w, d in holes
        ]
    )  # fmt: skip
    number = len(holes)
    polygons = Polygons(
        corners=corners,
        sides=np.full(number, 4, np.int64),
        normals=np.broadcast_to([0.0, 0.0, -1.0], (number, 3)).copy(),
        reflectance=np.zeros(number),
        mirror=np.zeros(number, bool),
        ball=np.zeros(number, np.int64),
    )
    occluders = OccluderLists(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
    beams, fates, through = leave(polygons, corners, np.ones(number, bool), occluders, lamps, True)
    chart = floor_chart(texels, half)
    lux = np.zeros((*chart.size, 3), np.float32)
    add_beams(beams, lamps, chart, lux)
    middles = (np.arange(texels) + 0.5) / texels * 2 * half - half
    return lux[..., 0].astype(float), middles, beams, fates, through


def middle_of(lux, middles):
    """Centre of light (x, y), m; row 0 is +y."""
    return (
        (lux.sum(axis=0) @ middles) / lux.sum(),
        -(lux.sum(axis=1) @ middles) / lux.sum(),
    )


def wide_at_half(profile, middles):
    """Full width at half of the middle's value, m, between straight lines."""
    half = 0.5 * profile.max()
    over = np.flatnonzero(profile >= half)
    step = middles[1] - middles[0]
    left, right = over[0], over[-1]
    more = (profile[left] - half) / (profile[left] - profile[left - 1])
    more += (profile[right] - half) / (profile[right] - profile[right + 1])
    return (right - left + more) * step


def test_a_wide_hole_throws_its_shadow_edge_where_similar_triangles_say():
    # A hole of side w at a from a point of light is w h / a wide at h; straight below the light is
    # I / h**2, I = lumens / 4 pi for a source that is alike from all sides (IES Lighting Handbook).
    side = 0.02
    lux, middles, *_ = lit([(0, 0, side, side)], leds([[0, 0, WAY + NEAR]]))
    h = WAY + NEAR
    assert lux.max() == pytest.approx(3.0 / (4 * math.pi) / h**2, rel=1e-3)
    row = lux[len(lux) // 2]
    # At half of the height the light has fallen by cos**4 as well, here by less than 2 %.
    assert wide_at_half(row, middles) == pytest.approx(side * h / NEAR, rel=0.01)


def test_a_pinhole_makes_an_image_of_the_led():
    # The image of a disc of radius r at a, through a pinhole of area A, has a radius r b / a at b
    # behind the hole. Its illuminance straight below is L A / b**2, L = I / (pi r**2) (Lambert).
    radius, side = 0.01, 0.0005
    lux, middles, *_ = lit([(0, 0, side, side)], leds([[0, 0, WAY + NEAR]], radius), half=0.25)
    luminance = 3.0 / (4 * math.pi) / (math.pi * radius**2)
    assert lux.max() == pytest.approx(luminance * side**2 / WAY**2, rel=0.01)
    row = lux[len(lux) // 2]
    assert wide_at_half(row, middles) == pytest.approx(2 * radius * WAY / NEAR, rel=0.01)


@pytest.mark.parametrize("aside", [0.0, 0.008])
def test_all_light_of_a_large_near_led_is_found_on_the_floor(aside):
    # Outside a sphere that is alike bright all over light is as if it came from the middle (inverse
    # square, Lambert), so through an opening goes I times its solid angle seen from there. That of
    # a rectangle is a difference of corners', asin(x y / sqrt((x**2 + h**2) (y**2 + h**2))) each.
    radius, side, near = 0.005, 0.004, 0.012

    def corner(x, y):
        return math.asin(x * y / math.sqrt((x * x + near * near) * (y * y + near * near)))

    half = side / 2
    angle = 2 * (corner(aside + half, half) - corner(aside - half, half))
    lux, middles, _, _, through = lit(
        [(aside, 0, side, side)], leds([[0, 0, WAY + near]], radius), half=8.0
    )
    texel = (middles[1] - middles[0]) ** 2
    assert through[0] == pytest.approx(3.0 / (4 * math.pi) * angle, rel=1e-3)
    assert lux.sum() * texel == pytest.approx(through[0], rel=3e-3)


def test_a_near_led_looks_as_wide_as_a_sphere():
    # From a hole at a, the sine of half the angle that a sphere of radius r fills is r / a (that of
    # a disc would be the tangent). Within its image the light falls as cos**4, here to 0.68.
    radius, near = 0.005, 0.012
    lux, middles, *_ = lit([(0, 0, 0.0003, 0.0003)], leds([[0, 0, WAY + near]], radius), half=1.3)
    wide = 2.0 * math.tan(math.asin(radius / near)) * WAY
    assert wide_at_half(lux[len(lux) // 2], middles) == pytest.approx(wide, rel=0.02)


def test_the_image_lies_where_the_line_through_the_hole_ends():
    hole, led = np.array([0.03, -0.02]), np.array([0.05, 0.01])
    lux, middles, *_ = lit([(*hole, 0.002, 0.002)], leds([[*led, WAY + NEAR]]))
    expected = led + (hole - led) * (WAY + NEAR) / NEAR
    assert middle_of(lux, middles) == pytest.approx(tuple(expected), abs=2e-3)


def test_three_leds_make_an_image_upside_down_and_to_scale():
    places = np.array([[0.0, 0.03], [0.02, -0.01], [-0.04, 0.0]])
    lamps = leds(np.column_stack([places, np.full(3, WAY + NEAR)]))
    for number, place in enumerate(places):
        one = Lamps._make(column[number : number + 1] for column in lamps)
        lux, middles, *_ = lit([(0, 0, 0.001, 0.001)], one)
        # Behind a pinhole everything is turned by half a turn and magnified b / a.
        assert middle_of(lux, middles) == pytest.approx(tuple(-place * WAY / NEAR), abs=2e-3)
    together, middles, *_ = lit([(0, 0, 0.001, 0.001)], lamps)
    columns, rows = np.flatnonzero(together.max(axis=0)), np.flatnonzero(together.max(axis=1))
    step = middles[1] - middles[0]
    image = 2 * 0.002 * WAY / NEAR
    # The pinhole widens each image by its own shadow.
    shadow = 0.001 * (WAY + NEAR) / NEAR
    assert (np.ptp(columns) + 1) * step == pytest.approx(0.6 + image + shadow, abs=3 * step)
    assert (np.ptp(rows) + 1) * step == pytest.approx(0.4 + image + shadow, abs=3 * step)


@pytest.mark.parametrize("wide", [0.004, 0.01])
def test_a_seam_draws_a_line_of_its_width(wide):
    lux, middles, *_ = lit([(0, 0, 0.05, wide)], leds([[0, 0, WAY + NEAR]], 0.001))
    across, along = lux[:, len(lux) // 2], lux[len(lux) // 2]
    assert wide_at_half(across, middles) == pytest.approx(wide * (WAY + NEAR) / NEAR, rel=0.01)
    assert wide_at_half(along, middles) == pytest.approx(0.05 * (WAY + NEAR) / NEAR, rel=0.02)


def test_a_wide_opening_is_cut_and_nothing_is_lost():
    # From the middle of a face of a cube all faces look alike: one of them takes a sixth.
    side = 2 * NEAR
    _, _, beams, fates, through = lit([(0, 0, side, side)], leds([[0, 0, WAY + NEAR]]))
    assert len(beams.lamp) > 3
    assert through[0] == pytest.approx(3.0 / 6.0, rel=1e-3)
    assert beams.lumens.sum() == pytest.approx(through[0], rel=1e-9)
    assert fates.caught.sum() == pytest.approx(0.0, abs=1e-9)


def test_an_opening_seen_from_outside_lets_nothing_through():
    *_, through = lit([(0, 0, 0.02, 0.02)], leds([[0, 0, WAY - NEAR]]))
    assert through.sum() == 0.0
