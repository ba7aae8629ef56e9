"""Passes over points: a ring of tiles, one disc by hand, and what moves between the steps."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.definitions import values as values_of
from glint.analysis.flicker import Passes, passes
from glint.lighting.illumination import beams
from glint.lighting.spots import Spots, spots_of
from glint.scene.build import build
from glint.schema.read import scene_of


def disc(key, point, radius, velocity=(0.0, 0.0, 0.0)):
    """One spot by itself."""
    one = np.ones(1)
    return Spots(
        np.array([[0, key]]),
        np.ones(1, np.int64),
        np.zeros(1, np.int64),
        np.array([point], float),
        math.pi * radius**2 * one,
        one,
        one,
        np.array([velocity], float),
    )


def test_a_disc_comes_over_each_point_of_its_way_once():
    points = np.array([[x, y, 0.0] for x in np.linspace(-2, 2, 41) for y in np.linspace(-1, 1, 41)])
    steps = [disc(5, (-1.0 + 0.5 * k, 0.0, 0.0), 0.3, (0.5, 0.0, 0.0)) for k in range(5)]
    found = passes(steps, 4.0, points)
    near = np.hypot(np.maximum(np.abs(points[:, 0]) - 1.0, 0.0), points[:, 1])
    assert np.array_equal(found.swept, near < 0.3)
    start = np.hypot(points[:, 0] + 1.0, points[:, 1]) <= 0.3
    assert np.array_equal(found.counts(), (near < 0.3) & ~start)
    # The front of the disc is at -0.7 + 0.5 t.
    middle = np.flatnonzero((points[found.point, 1] == 0.0) & (points[found.point, 0] <= 1.0))
    expected = (points[found.point[middle], 0] + 0.7) / 0.5
    assert found.time[middle] == pytest.approx(expected, abs=1e-9)


def test_spots_that_change_their_tiles_are_not_taken_for_one():
    points = np.array([[0.0, 0.0, 0.0]])
    apart = [disc(1, (-1, 0, 0), 0.1), disc(2, (1, 0, 0), 0.1)]
    assert passes(apart, 1.0, points).counts().tolist() == [0]
    same = [disc(1, (-1, 0, 0), 0.1), disc(1, (1, 0, 0), 0.1)]
    assert passes(same, 1.0, points).counts().tolist() == [1]


def test_the_most_passes_in_a_second_are_counted_across_the_join():
    found = Passes(
        np.array([0, 0, 0, 1]), np.array([0.1, 0.2, 2.9, 1.5]), np.ones(3, bool), period=3.0
    )
    assert found.most_in(1.0).tolist() == [3, 1, 0]
    assert found.most_in(3.0).tolist() == [3, 1, 0]
    assert found.most_in(6.5).tolist() == [9, 3, 0]
    assert found.rates() == pytest.approx([1.0, 1.0 / 3.0, 0.0])


def test_the_busiest_tenth_and_what_flashes():
    """Of forty points one sees forty passes in ten seconds, nine see four, and the others none."""
    point = np.repeat(np.arange(10), [40] + [4] * 9)
    time = np.concatenate([np.arange(40) / 4.0, np.tile(np.arange(4.0), 9)])
    swept = np.arange(40) < 12
    values = values_of("passes", Passes(point, time, swept, period=10.0))
    assert values == pytest.approx(
        {
            "passes_per_s": 76 / 40 / 10.0,
            "busiest_passes_per_s": (40 + 3 * 4) / 4 / 10.0,
            "flashing_share": 1 / 40,
            "flashing_on_average_share": 1 / 40,
            "swept_share": 12 / 40,
        }
    )


def test_a_stretch_takes_in_its_beginning_but_not_its_end():
    """Every half second, at moments that binary fractions hold exactly: two a second."""
    steady = Passes(np.zeros(6, np.int64), np.arange(6) / 2.0, swept=np.ones(1, bool), period=3.0)
    assert [int(steady.most_in(s)[0]) for s in (0.5, 0.75, 1.0, 2.5, 3.0, 3.5)] == [
        *(1, 2, 2, 5, 6, 7),
    ]


@pytest.mark.parametrize("sides, rpm", [(12, 4.0), (8, 15.0)])
def test_a_ring_of_tiles_passes_a_point_once_each_a_turn(sides, rpm):
    """Each of m upright tiles sends the level beam once round the room a turn (mirror turned by a,
    beam turned by 2 a; lit for half a turn): m rpm / 60 passes a second."""
    scene = build(
        scene_of(
            {
                "room": {"radius_m": 4.0, "wall_m": 3.0},
                "tile": {"edge_mm": 20.0, "panel_edge_mm": 20.5, "thickness_mm": 1.0},
                "ball": [
                    {
                        "shape": {
                            "base": "prism",
                            "sides": sides,
                            "steps": [{"do": "open", "sides": sides, "count": 2}],
                        },
                        "hang": {"height_m": 1.5, "by": "face", "sides": sides},
                        "motion": {"rpm": rpm},
                    }
                ],
                "lamp": [{"at_m": [3.0, 0.0, 1.5]}],
            }
        )
    )
    seconds = 60.0 / (rpm * sides)
    poses = (scene.at(seconds=seconds * k / 12) for k in range(13))
    steps = [spots_of(pose, beams(pose)[0]) for pose in poses]
    # Clear of the lamp itself, and of the ball's own shadow.
    turn = np.radians([*np.arange(40.0, 171.0, 5.0), *np.arange(190.0, 321.0, 5.0)])
    wall = np.column_stack([4.0 * np.cos(turn), 4.0 * np.sin(turn), np.full(turn.size, 1.5)])
    rates = passes(steps, seconds, wall).rates()
    assert rates == pytest.approx(np.full(turn.size, sides * rpm / 60.0))
