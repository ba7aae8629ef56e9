"""Where known points land in the picture, and which way each point of it looks."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.camera.projection import (
    FISHEYE,
    PERSPECTIVE,
    camera,
    pixel_solid_angle,
    projected,
    rays,
)

AT = np.array([1.0, -2.0, 1.2])


def looking_north(fov_deg, size=(800, 600)):
    return camera(AT, AT + np.array([0.0, 3.0, 0.0]), math.radians(fov_deg), size)


def from_eye(across, up):
    """A direction so many degrees to the right, then up, of north."""
    a, u = math.radians(across), math.radians(up)
    return np.array([math.sin(a) * math.cos(u), math.cos(a) * math.cos(u), math.sin(u)])


def test_a_perspective_puts_points_at_f_tan():
    view = looking_north(90.0)
    assert view.kind == PERSPECTIVE
    seen = projected(view, AT + 5.0 * np.array([from_eye(0, 0), from_eye(30, 0), from_eye(0, 20)]))
    assert (seen[:, 0] == 1).all()
    half = 400.0 / math.tan(math.radians(45))
    assert seen[0, 1:] == pytest.approx([400, 300])
    assert seen[1, 1:] == pytest.approx([400 + half * math.tan(math.radians(30)), 300])
    assert seen[2, 1:] == pytest.approx([400, 300 - half * math.tan(math.radians(20))])
    assert projected(view, (AT - [0, 1, 0])[None])[0, 0] == 0


def test_a_fisheye_puts_points_at_f_times_the_angle():
    view = looking_north(180.0)
    assert view.kind == FISHEYE
    per_degree = 800 / 180
    seen = projected(
        view, AT + 2.0 * np.array([from_eye(60, 0), from_eye(0, 50), from_eye(-90, 0)])
    )
    assert seen[0, 1:] == pytest.approx([400 + 60 * per_degree, 300])
    assert seen[1, 1:] == pytest.approx([400, 300 - 50 * per_degree])
    assert seen[2, 1:] == pytest.approx([0, 300])


def test_the_view_is_flat_up_to_110_degrees_and_round_beyond():
    assert looking_north(110.0).kind == PERSPECTIVE
    assert looking_north(110.5).kind == FISHEYE


@pytest.mark.parametrize("fov", [20.0, 75.0, 110.0, 150.0, 220.0])
def test_rays_and_points_are_each_others_inverse(fov):
    view = looking_north(fov)
    draw = np.random.default_rng(1)
    xs, ys = draw.uniform(0, 800, 500), draw.uniform(0, 600, 500)
    ways = rays(view, xs, ys)
    assert np.linalg.norm(ways, axis=1) == pytest.approx(1.0)
    back = projected(view, AT + 3.0 * ways)
    assert back[:, 1] == pytest.approx(xs, abs=1e-6)
    assert back[:, 2] == pytest.approx(ys, abs=1e-6)


@pytest.mark.parametrize("fov", [75.0, 180.0])
def test_the_solid_angle_of_a_pixel_is_that_between_its_corners(fov):
    # Twice the solid angle of half a pixel, by its cross product: exact to second order.
    view = looking_north(fov)
    for x, y in [(400.5, 300.5), (10.5, 20.5), (700.5, 450.5)]:
        a, b, c = rays(
            view, np.array([x - 0.5, x + 0.5, x - 0.5]), np.array([y - 0.5, y - 0.5, y + 0.5])
        )
        small = np.linalg.norm(np.cross(b - a, c - a))
        assert pixel_solid_angle(view, x, y) == pytest.approx(small, rel=5e-3)


def test_straight_up_has_north_at_the_top():
    view = camera(AT, AT + np.array([0, 0, 1.0]), 1.0, (100, 100))
    seen = projected(view, AT + np.array([[0.0, 0.1, 1.0], [0.1, 0.0, 1.0]]))
    assert seen[0, 2] < 50 and seen[0, 1] == pytest.approx(50)
    # East is to the left for somebody on their back.
    assert seen[1, 1] < 50
