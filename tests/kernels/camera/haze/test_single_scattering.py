"""Haze against the closed form for a straight beam, and its phase function."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.camera.haze.beam_bins import beams_in_cells
from glint.kernels.camera.haze.ray_beam_segments import (
    ROWS,
    cones_from,
    crossed,
    in_cone,
    lens_points,
    seen_along,
    shafts_of,
)
from glint.kernels.camera.haze.single_scattering import (
    STEP,
    bright_part,
    gathered,
    in_front,
    lay_over,
    phase,
    reach_of,
)
from glint.kernels.camera.lens_images import straight
from glint.kernels.camera.projection import camera, ray
from glint.kernels.geometry.bvh import at_rest
from glint.kernels.illuminance.direct_light import lamp_cones
from glint.kernels.illuminance.visible_lens import lens_corners, visible_lens
from glint.kernels.surfaces.ray_cast import cast_all
from glint.render.eye.room_texture import room_light
from tests.kernels.setups import round_lamp
from tests.render.eye.test_view import ROOM, mirrors

MIDDLE = 20 // STEP
assert 20 % STEP == 0


def even_lamp(half, peak=900.0):
    """A lamp of the same candela everywhere within half an angle, rad, 2 m up, shining north."""
    lamps = round_lamp((0.0, -2.0, 1.5), (0.0, 2.0, 1.5), 1e-4, beam=0.3)
    candela = np.full_like(lamps.candela, peak)
    end = np.array([math.sin(half / 2)])
    return lamps._replace(candela=candela, spread=np.zeros_like(candela), sine_end=end)


def seen(lamps, density, forward, width=41):
    """Haze's light in the middle of a view across the beam, 1.6 m before the lamp."""
    lit = room_light(ROOM, 32)
    view = camera(np.array([3.0, -0.4, 1.5]), np.array([0.0, -0.4, 1.5]), 0.4, (width, width))
    bodies = mirrors([((-4.0, 2.0, 0.2), (0, 0, 1), 0.01)])
    turn = at_rest(bodies)
    reach = reach_of(bodies, turn, lit.kinds, lit.forms, view)
    haze = gathered(straight(lamps), lamps, True, bodies, turn, reach, view, density, forward)
    return haze[MIDDLE, MIDDLE], view, haze


def test_across_an_even_beam_the_closed_form():
    # Airlight of a point source without extinction: the integral of I / (h**2 + s**2) over s
    # from -h tan a to h tan a is 2 a I / h; scattered evenly, sigma / (4 pi) of it.
    half, density = 0.2, 1e-6
    value, _, _ = seen(even_lamp(half), density, 0.0)
    expected = density / (4 * math.pi) * 900.0 * 2 * half / 1.6
    colour = even_lamp(half).colour[0]
    assert value[:3] == pytest.approx(expected * colour, rel=2e-3)


def test_thick_haze_takes_off_what_it_scatters():
    value, view, _ = seen(even_lamp(0.05), 0.3, 0.0)
    thin, _, _ = seen(even_lamp(0.05), 1e-6, 0.0)
    # All of the narrow beam lies 3 m from the eye and 1.6 m from the lamp.
    assert value[1] / 0.3 == pytest.approx(thin[1] / 1e-6 * math.exp(-0.3 * 4.6), rel=2e-3)
    lit = room_light(ROOM, 32)
    _, end, _ = cast_all(lit.kinds, lit.forms, view.at[None], -np.eye(3)[:1])
    assert value[3] == pytest.approx(math.exp(-0.3 * np.linalg.norm(end[0] - view.at)), rel=1e-6)


def test_haze_that_changes_evenly_does_so_over_the_picture():
    rows, columns = np.mgrid[0:10.0, 0:14.0]
    light, kept = 3.0 + 0.2 * rows - 0.1 * columns, 0.9 - 0.01 * rows - 0.02 * columns
    haze = np.stack([light, 2.0 * light, 0.0 * light, kept], axis=2)
    picture = np.full((41, 61, 3), 2.0, np.float32)
    lay_over([haze, haze * [1.0, 1.0, 1.0, 0.0]], picture, picture)
    # A cubic B-spline goes through what is straight; its outermost rays have no further ones.
    y, x = np.mgrid[STEP : 41 - STEP, STEP : 61 - STEP] / STEP
    shown = picture[STEP:-STEP, STEP:-STEP]
    expected = 2.0 * (3.0 + 0.2 * y - 0.1 * x) + 2.0 * (0.9 - 0.01 * y - 0.02 * x)
    assert shown[..., 0] == pytest.approx(expected, rel=1e-5)
    assert shown[..., 2] == pytest.approx(2.0 * (0.9 - 0.01 * y - 0.02 * x), rel=1e-5)


def test_the_phase_function_shares_out_all_light_and_has_its_mean_cosine():
    cosines = np.linspace(-1, 1, 200001)
    for forward in (0.0, 0.3, 0.6, -0.4):
        values = np.array([phase(c, forward) for c in cosines[::20]])
        steps = cosines[::20]
        total = 2 * math.pi * np.trapezoid(values, steps)
        assert total == pytest.approx(1.0, rel=1e-5)
        assert 2 * math.pi * np.trapezoid(values * steps, steps) == pytest.approx(forward, abs=1e-5)


def test_a_body_casts_its_shadow_into_the_haze():
    lamps = even_lamp(0.05)
    lit = room_light(ROOM, 32)
    view = camera(np.array([3.0, -0.4, 1.5]), np.array([0.0, -0.4, 1.5]), 0.4, (41, 41))
    shade = mirrors([((0.0, -1.5, 1.5), (0, -1, 0), 0.3)])
    turn = at_rest(shade)
    reach = reach_of(shade, turn, lit.kinds, lit.forms, view)
    haze = gathered(straight(lamps), lamps, True, shade, turn, reach, view, 0.01, 0.0)
    assert haze[MIDDLE, MIDDLE, 1] == 0.0


def test_stretches_inside_a_cone_are_those_of_many_points():
    cone = np.array([0.1, 0.2, 0.3, 0.0, 0.6, 0.8, math.sin(0.3), math.cos(0.3)])
    draw = np.random.default_rng(5)
    for _ in range(300):
        eye, way = draw.normal(size=3), draw.normal(size=3)
        way /= np.linalg.norm(way)
        bits, first, second = in_cone(cone[None], 0, *eye, *way, 5.0)
        cuts = (0.0, first, second, 5.0)
        length = sum(cuts[k + 1] - cuts[k] for k in range(3) if bits & (1 << k))
        t = (np.arange(4000) + 0.5) / 4000 * 5.0
        away = eye + t[:, None] * way - cone[:3]
        inside = away @ cone[3:6] >= cone[7] * np.linalg.norm(away, axis=1)
        assert length == pytest.approx(5.0 * inside.mean(), abs=0.01)


@pytest.mark.parametrize("fov", [1.2, math.pi])
def test_every_beam_that_a_ray_crosses_is_listed_in_its_cell(fov):
    draw = np.random.default_rng(11)
    number, side, shape = 200, 32, (5, 8)
    axes = draw.normal(size=(number, 3))
    axes /= np.linalg.norm(axes, axis=1, keepdims=True)
    half = draw.uniform(0.002, 0.1, number)
    tips = draw.uniform(-4.0, 4.0, (number, 3))
    cones = np.column_stack([tips, axes, np.sin(half), np.cos(half)])
    view = camera(np.array([0.3, -0.2, 0.1]), np.array([0.5, 2.0, 0.4]), fov, (256, 160))
    start, listed = beams_in_cells(cones, view, 6.0, shape, side)
    crossed = 0
    for x, y in draw.uniform(0.0, [256.0, 160.0], (400, 2)):
        way = ray(view, x, y)
        if way == (0.0, 0.0, 0.0):
            continue
        cell = int(y // side) * shape[1] + int(x // side)
        here = set(listed[start[cell] : start[cell + 1]])
        met = [b for b in range(number) if in_cone(cones, b, *view.at, *way, 6.0)[0]]
        crossed += len(met)
        assert here.issuperset(met)
    assert crossed > 200
    # And the lists spare most of the work.
    assert len(listed) < 0.4 * number * shape[0] * shape[1]


def test_the_faintest_beams_are_left_out_and_hold_next_to_nothing():
    beams = straight(even_lamp(0.1))
    many = beams._make(np.repeat(column, 50, axis=0) for column in beams)
    many = many._replace(lumens=np.geomspace(1e-3, 1.0, 50))
    kept = bright_part(many)
    assert 10 < len(kept.lumens) < 40
    assert kept.lumens.sum() >= 0.995 * many.lumens.sum()
    assert (np.diff(kept.lumens) > 0).all()


def test_rays_cross_the_cones_that_they_have_a_part_in():
    draw, eye = np.random.default_rng(8), np.array([0.3, -2.0, 1.2])
    cones = np.zeros((60, 8))
    cones[:, :3] = draw.normal(size=(60, 3))
    cones[:, 3:6] = [row / np.linalg.norm(row) for row in draw.normal(size=(60, 3))]
    half = draw.uniform(0.01, 1.3, 60)
    cones[:, 6], cones[:, 7] = np.sin(half), np.cos(half)
    cones[7, 6] = 2.0  # of a lens within its window: all of the room
    listed = draw.permutation(60)
    near, hit, found = np.empty((ROWS, 50)), np.empty(50, np.bool_), np.empty(51, np.int64)
    cones_from(cones, listed, 5, 55, *eye, near)
    inside = spared = 0
    for _ in range(200):
        way = draw.normal(size=3)
        way /= np.linalg.norm(way)
        some = set(listed[5 + found[: crossed(near, 50, *way, hit, found)]].tolist())
        parts = {b for b in listed[5:55].tolist() if in_cone(cones, b, *eye, *way, 9.0)[0]}
        assert parts <= some
        inside, spared = inside + len(parts), spared + 50 - len(some)
    assert inside > 1000 and spared > 1000


def test_the_points_of_a_lens_are_right_for_every_polynomial_of_degree_five():
    x, y, weight = lens_points()
    for m in range(6):
        for n in range(6 - m):
            # Over the unit disc: 0 if a power is odd, else by the beta function
            # (integral of cos**m sin**n around) / (m + n + 2) / pi.
            even = m % 2 == 0 and n % 2 == 0
            gamma = [math.gamma((k + 1) / 2) for k in (m, n)]
            around = 2 * gamma[0] * gamma[1] / math.gamma((m + n + 2) / 2) if even else 0.0
            expected = around / (m + n + 2) / math.pi
            assert (weight * x**m * y**n).sum() == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("tile, tolerance", [(0.02, 0.17), (0.15, 0.05)])
def test_a_ray_lies_in_a_beam_as_far_as_its_points_see_the_lens(tile, tolerance):
    # A tile narrower and one wider than the lens: means of the exact share along many rays. Seven
    # points of a wide lens are seven columns of light a little apart, so single rays err more.
    lamps = round_lamp((0.0, -3.0, 1.0), (0.0, 0.0, 1.0), 0.03)
    beams, radius = straight(lamps), 0.03
    corners = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    window = beams.window.copy()
    window[0, :4] = [(0.5 * tile * a, 0.0, 1.0 + 0.5 * tile * b) for a, b in corners]
    beams = beams._replace(window=window)
    eye, draw, points = np.array([2.5, 1.0, 1.4]), np.random.default_rng(3), lens_points()
    cones, shafts = shafts_of(beams, lamps, points, eye)
    inside, room = np.zeros((16, 3)), np.empty((2, 16))
    lens_corners(beams.apex[0], beams.frame[0], beams.window[0], 4, inside)
    found, exact = [], []
    for _ in range(400):
        aim = np.array([0.0, draw.uniform(0.3, 4.0), 1.0]) + 0.05 * draw.normal(size=3)
        way = (aim - eye) / np.linalg.norm(aim - eye)
        bits, first, second = in_cone(cones, 0, *eye, *way, 9.0)
        if bits != 2:
            continue
        seen = seen_along(shafts, points, 0, 5, *way, first, second)
        steps = first + (np.arange(400) + 0.5) / 400 * (second - first)
        places = (eye + steps[:, None] * way - beams.apex[0]) @ beams.frame[0].T
        shares = np.array(
            [visible_lens(*q, inside, 4, radius, 0.0, room[0], room[1]) for q in places]
        )
        found.append(seen[0])
        exact.append(shares[:, 0].mean() * (second - first))
        if exact[-1] > 0.5 * tile:  # well inside: middle and centroid too
            middle = (shares[:, 0] * steps).sum() / shares[:, 0].sum()
            centroid = (shares[:, :1] * shares[:, 1:]).sum(axis=0) / shares[:, 0].sum()
            assert seen[1] == pytest.approx(middle, abs=0.1 * (second - first))
            assert seen[2:] == pytest.approx(centroid / radius, abs=0.25)
    found, exact = np.array(found), np.array(exact)
    assert len(found) > 150
    assert found.sum() == pytest.approx(exact.sum(), rel=0.02)
    assert np.sqrt(((found - exact) ** 2).sum() / (exact**2).sum()) < tolerance


def test_what_a_lamp_stands_on_is_not_in_its_light_but_a_ball_is():
    lamps = even_lamp(0.1)
    behind = mirrors([((0.0, -2.1, 1.5), (0, -1, 0), 0.3)])
    before = mirrors([((0.0, -1.0, 1.6), (0, -1, 0), 0.3)])
    aside = mirrors([((2.0, -1.0, 1.5), (0, -1, 0), 0.3)])
    for bodies, expected in ((behind, False), (before, True), (aside, False)):
        cone = lamp_cones(lamps)[0]
        found = in_front(bodies, at_rest(bodies), cone, lamps.position[0], lamps.frame[0, 2])
        assert found.tolist() == [expected]
