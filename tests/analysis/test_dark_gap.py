"""The largest dark gap against a search of the whole dome."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.dark_gap import largest_gap
from glint.room.bell import bell
from glint.room.dome import dome
from glint.room.hall import hall
from glint.room.solid_angle_region import CorneredSky, RoundSky


def on_cap(rng, number, rim):
    up, turn = rng.uniform(math.cos(rim), 1.0, number), rng.uniform(0.0, 2.0 * math.pi, number)
    out = np.sqrt(1.0 - up**2)
    return np.column_stack([out * np.cos(turn), out * np.sin(turn), up])


@pytest.mark.parametrize("number", [1, 2, 3, 5, 40, 400])
@pytest.mark.parametrize("rim", [0.5, 0.5 * math.pi, 2.4])
def test_no_place_is_darker_and_the_place_named_is_as_dark(number, rim):
    rng = np.random.default_rng(number)
    spots = on_cap(rng, number, rim)
    gap, middle = largest_gap(spots, RoundSky(rim))
    assert middle[2] >= math.cos(rim) - 1e-9
    nearest = np.arccos(np.clip(spots @ middle, -1.0, 1.0)).min()
    assert nearest == pytest.approx(gap, abs=1e-7)
    places = np.concatenate([on_cap(rng, 40000, rim), np.array([middle])])
    edge = np.linspace(0.0, 2.0 * math.pi, 20000)
    level = np.full(edge.size, math.cos(rim))
    out = math.sin(rim)
    places = np.concatenate(
        [places, np.column_stack([out * np.cos(edge), out * np.sin(edge), level])]
    )
    searched = np.full(len(places), math.pi)
    for spot in spots:
        np.minimum(searched, np.arccos(np.clip(places @ spot, -1.0, 1.0)), out=searched)
    assert searched.max() <= gap + 1e-7


def test_spots_along_one_circle_do_not_upset_the_diagram():
    turn = np.linspace(0.0, 2.0 * math.pi, 30, endpoint=False)
    level = math.cos(0.3)
    ring = np.column_stack(
        [math.sin(0.3) * np.cos(turn), math.sin(0.3) * np.sin(turn), np.full(30, level)]
    )
    gap, _ = largest_gap(ring, RoundSky(0.5))
    assert gap == pytest.approx(0.3, abs=1e-9)
    gap, _ = largest_gap(np.concatenate([ring, ring]), RoundSky(1.2))
    nearest = math.acos(
        math.cos(1.2) * math.cos(0.3) + math.sin(1.2) * math.sin(0.3) * math.cos(math.pi / 30)
    )
    assert gap == pytest.approx(nearest, abs=1e-9)


def test_without_spots_there_is_no_gap_to_tell():
    assert math.isnan(largest_gap(np.zeros((0, 3)), RoundSky(1.0))[0])


@pytest.mark.parametrize("number", [1, 2, 5, 60])
@pytest.mark.parametrize("size", [(6.0, 4.0, 3.0), (16.0, 5.0, 2.5)])
def test_no_place_of_a_ceiling_is_darker(number, size):
    length, width, height = size
    rng = np.random.default_rng(number)

    def ceiling(across, up):
        points = np.column_stack([across, up, np.full(len(across), height)])
        return points / np.linalg.norm(points, axis=1, keepdims=True)

    half, wide = length / 2.0, width / 2.0
    spots = ceiling(rng.uniform(-half, half, number), rng.uniform(-wide, wide, number))
    sky = hall(*size, np.ones(3), np.ones(3), 0.0).surfaces[0].sky()
    assert isinstance(sky, CorneredSky)
    gap, middle = largest_gap(spots, sky)
    assert sky.holds(middle[None])[0]
    assert np.arccos(np.clip(spots @ middle, -1.0, 1.0)).min() == pytest.approx(gap, abs=1e-7)
    grid = np.stack(np.meshgrid(np.linspace(-half, half, 401), np.linspace(-wide, wide, 401)))
    places = ceiling(*grid.reshape(2, -1))
    assert sky.holds(places).all()
    searched = np.full(len(places), math.pi)
    for spot in spots:
        np.minimum(searched, np.arccos(np.clip(places @ spot, -1.0, 1.0)), out=searched)
    assert gap - 0.02 < searched.max() <= gap + 1e-7


def test_the_sky_of_a_round_room_ends_at_its_rim():
    fabric = np.ones(3)
    tent = bell(3.0, 2.0, 1.2, 0.0, fabric, fabric, 0.0).surfaces[0]
    assert tent.sky() == RoundSky(pytest.approx(math.atan2(3.0, 1.2)))
    flat = dome(4.0, 1.0, 0.5, fabric, fabric, 0.0).surfaces[0]
    assert flat.sky() == RoundSky(pytest.approx(math.atan2(4.0, 0.5)))
    assert dome(4.0, 4.0, 0.0, fabric, fabric, 0.0).surfaces[0].sky() == RoundSky(
        pytest.approx(math.pi / 2.0)
    )
