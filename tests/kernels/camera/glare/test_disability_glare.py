"""Glare against older formulas that it must agree with, and the drawn veil against the formula."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.camera.glare.disability_glare import add_glare, merged, veil
from glint.kernels.camera.projection import camera, projected, rays


@pytest.mark.parametrize("degrees", [3.0, 5.0, 10.0, 20.0, 30.0])
def test_it_is_near_the_stiles_holladay_rule(degrees):
    # L = 10 E / t**2 (Stiles & Holladay, as adopted by the CIE in 1939; from memory), which
    # Vos's function refines by up to a third between 3 and 30 degrees.
    assert veil(degrees, 35.0, 0.5) == pytest.approx(10.0 / degrees**2, rel=0.35)


def test_it_falls_with_the_angle_and_grows_with_age():
    angles = np.geomspace(0.1, 100, 50)
    values = [veil(t, 30.0, 0.5) for t in angles]
    assert all(np.diff(values) < 0.0)
    # At 10 degrees without pigment: 0.01 + 0.05 (1 + (A / 62.5)**4), which is 0.1387 at 70 years,
    # where the power is 1.5735, and 0.0627 at 30, where it is 0.0531.
    assert veil(10.0, 70.0, 0.0) == pytest.approx(0.1387, abs=1e-4)
    assert veil(10.0, 30.0, 0.0) == pytest.approx(0.0627, abs=1e-4)


def test_near_the_source_it_falls_with_the_cube():
    # The term of 10 / t**3 leads below half a degree: 1000 times at a tenth of the angle.
    assert veil(0.1, 0.0, 0.0) == pytest.approx(10.0 / 0.001 + 5.0 / 0.01)


@pytest.mark.parametrize("place", [(0.2, 1.0, 0.1), (-0.5, 1.0, 0.3), (0.54, 1.0, -0.3)])
@pytest.mark.parametrize("fov", [60.0, 110.0, 180.0, 220.0])
def test_the_drawn_veil_is_that_of_the_formula_everywhere(fov, place):
    view = camera(np.zeros(3), np.array([0, 1.0, 0]), math.radians(fov), (160, 96))
    source = np.array(place) / np.linalg.norm(place)
    picture = np.zeros((96, 160, 3), np.float32)
    add_glare(view, np.array([[*source, 3.0, 2.0, 1.0, 0.0]]), 30.0, 0.5, 1.0, picture)
    y, x = (part.ravel() for part in np.indices((96, 160)))
    ways = rays(view, x + 0.5, y + 0.5)
    away = np.degrees(np.arccos(np.clip(ways @ source, -1, 1)))
    expected = np.array([veil(t, 30.0, 0.5) for t in away]).reshape(96, 160)
    far = projected(view, source[None])[0]
    assert far[0] == 1
    assert picture[..., 0] == pytest.approx(3.0 * expected, rel=0.02)
    assert picture[..., 2] == pytest.approx(expected, rel=0.02)


def test_no_glare_where_none_is_wanted():
    view = camera(np.zeros(3), np.array([0, 1.0, 0]), 1.0, (32, 32))
    picture = np.zeros((32, 32, 3), np.float32)
    add_glare(view, np.array([[0, 1.0, 0, 3.0, 2.0, 1.0]]), 30.0, 0.5, 0.0, picture)
    assert not picture.any()


def test_many_sources_close_together_may_be_taken_as_few_from_afar():
    view = camera(np.zeros(3), np.array([0, 1.0, 0]), math.radians(60.0), (320, 192))
    random = np.random.default_rng(3)
    rows = np.column_stack(
        [random.normal(size=(60, 3)) * 0.04, random.random((60, 3)), np.zeros(60)]
    )
    rows[:, :3] += [0.1, 1.0, 0.05]
    rows[:, :3] /= np.linalg.norm(rows[:, :3], axis=1, keepdims=True)
    exact, quick = np.zeros((2, 192, 320, 3), np.float32)
    add_glare(view, rows, 30.0, 0.5, 1.0, exact)
    coarse = merged(rows, 12.0 / view.focal)
    assert len(coarse) < 40
    add_glare(view, rows, 30.0, 0.5, 1.0, quick, coarse)
    assert np.allclose(quick, exact, rtol=0.02, atol=0.0)
