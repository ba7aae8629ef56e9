"""The flat bounds of a quad's light: none is beyond them, and they touch lens and quad."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.kernels.illuminance.beam_bounds import ROOM, bounds, reached
from glint.kernels.illuminance.penumbra import LUX, MANY, illuminate, workplace
from tests.kernels.setups import round_lamp


def quad(rng: np.random.Generator, size: float) -> np.ndarray:
    """A flat convex quad of four corners at about a metre, anticlockwise as seen by the lens."""
    turns = np.sort(rng.uniform(0, 2 * np.pi, 4))
    across = rng.normal(size=(2, 3)) * [[1.0, 1.0, 0.4]]
    flat = size * (np.cos(turns)[:, None] * across[0] + np.sin(turns)[:, None] * across[1])
    corners = (flat + np.array([*rng.uniform(-0.3, 0.3, 2), 1.0])).T
    x, y = corners[:2] / corners[2]
    turn = (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
    return np.ascontiguousarray(corners if turn > 0 else corners[:, ::-1])


def bounds_of(corners: np.ndarray, radius: float, sphere: float) -> np.ndarray:
    """A row for each edge: normal and offset."""
    planes = np.zeros((1, 16))
    bounds(corners, radius, sphere, np.zeros(3), np.eye(3), planes, 0)
    return planes.reshape(4, 4)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32), st.sampled_from([1e-9, 0.003, 0.05]), st.sampled_from([0.0, 1.0]))
def test_no_light_falls_beyond_the_bounds(seed, radius, sphere):
    rng = np.random.default_rng(seed)
    corners = quad(rng, 0.05)
    if corners[2].min() < 0.5:
        return
    lamps = round_lamp((0, 0, 0), (0, 0, 1), radius, beam=2.5)
    lamps = lamps._replace(sphere=np.array([sphere]))
    points = np.zeros((7, MANY))
    points[:3] = 3.0 * corners.mean(axis=1)[:, None] + rng.normal(0, 0.2, (3, MANY))
    points[4:] = [[0], [0], [-1]]
    work = workplace()
    lens = (np.zeros(3), np.eye(3), corners, lamps, 0, 1.0)
    illuminate(work, points, np.arange(MANY), MANY, *lens)
    planes = bounds_of(corners, radius, sphere)
    bright = (planes[:, :3] @ points[:3] + planes[:, 3:] >= 0).all(axis=0)
    assert not (work[LUX] > 0)[~bright].any()


@pytest.mark.parametrize("sphere", [0.0, 1.0])
def test_bounds_touch_the_lens_on_one_side_and_the_pane_on_the_other(sphere):
    rng = np.random.default_rng(8)
    corners, radius = quad(rng, 0.03), 0.06
    planes = bounds_of(corners, radius, sphere)
    turns = np.linspace(0, 2 * np.pi, 20001)
    rim = radius * np.array([np.cos(turns), np.sin(turns), 0 * turns])
    for edge, plane in enumerate(planes):
        on = plane[:3] @ corners + plane[3]
        assert on[[edge, (edge + 1) % 4]] == pytest.approx(0.0, abs=3e-9)
        assert (on > -1e-8).all() and on.max() > 1e-4
        highest = ROOM * radius + plane[3] if sphere else (plane[:3] @ rim + plane[3]).max()
        assert highest == pytest.approx(0.0, abs=3e-9)
        assert np.linalg.norm(plane[:3]) == pytest.approx(1.0)


def test_a_pane_whose_plane_cuts_the_lens_has_no_bound_there():
    # The quad's edge, drawn out, meets the lens itself: nothing is dark beyond it for sure.
    corners = np.array([[0.0, 1.0, 1.0, 0.0], [-0.1, -0.1, 0.1, 0.1], [1.0, 2.0, 2.0, 1.0]])
    corners[0] = 0.01 * corners[2]
    planes = bounds_of(corners, 0.05, 0.0)
    assert (planes == [0.0, 0.0, 0.0, 1.0]).all(axis=1).any()


def test_spheres_beyond_a_bound_are_not_reached_and_others_are():
    corners = np.array([[-0.1, 0.1, 0.1, -0.1], [-0.1, -0.1, 0.1, 0.1], [1.0, 1.0, 1.0, 1.0]])
    planes, cones = np.zeros((1, 16)), np.zeros((8, 1))
    cones[6] = 2.0  # a cone that spares nothing
    bounds(corners, 0.05, 0.0, np.zeros(3), np.eye(3), planes, 0)
    # At z = 3 the bounds are 0.1 + 2 (0.1 + 0.05) = 0.4 from the axis; the bound leans by
    # atan 0.15, so a sphere of radius r reaches r / cos of that further.
    lean = math.hypot(1.0, 0.15)
    x = np.array([0.3999, 0.4001, 0.4001, 0.41])
    radius = np.array([0.0, 0.0, 0.0002, 0.0099 / lean])
    spheres = np.array([x, 0 * x, 0 * x + 3.0, radius])
    hit = np.zeros(4, bool)
    reached(cones, planes, 0, spheres, 0.0, hit)
    assert hit.tolist() == [True, False, True, False]
    reached(cones, planes, 0, spheres, 0.0002, hit)
    assert hit.tolist() == [True, True, True, True]
