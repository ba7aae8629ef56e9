"""Spots in closed form against sampled ones, and speeds against the turned scene."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.lighting.illumination import beams, spots
from glint.lighting.spots import spots_of
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.analysis.scenes import evening


def found(pose):
    return spots_of(pose, beams(pose)[0])


def test_place_size_and_peak_are_those_of_sampled_spots():
    pose = evening().at(degrees=10)
    closed = found(pose)
    by_key = {tuple(int(k) for k in key if k >= 0): i for i, key in enumerate(closed.key)}
    rows = [row for row in spots(pose) if row.lumens > 1e-3]
    assert len(rows) > 20
    sizes, peaks, away = [], [], []
    for row in rows:
        i = by_key[(0, *row.tiles)]
        if pose.scene.room.surfaces[closed.surface[i]].name != row.surface:
            continue  # A spot across a rim counts once, where its middle is.
        if row.lumens < 0.99 * closed.lumens[i]:
            continue
        sizes.append(closed.area[i] / row.area)
        peaks.append(closed.peak[i] / row.peak_lux)
        away.append(math.dist(closed.point[i], (row.x, row.y, row.z)) / row.diameter)
    # Sampled areas are right to 3 % themselves; a few faint spots of many pieces are worse.
    assert np.percentile(away, 90) < 0.1
    assert np.median(sizes) == pytest.approx(1.0, abs=0.015)
    assert np.percentile(np.abs(np.array(sizes) - 1.0), 90) < 0.05
    assert np.median(peaks) == pytest.approx(1.0, abs=0.01)
    assert np.percentile(np.abs(np.array(peaks) - 1.0), 90) < 0.05
    assert closed.lumens.sum() == pytest.approx(sum(row.lumens for row in spots(pose)), rel=5e-3)


@pytest.mark.parametrize("motion", [{}, {"rpm": 2.0, "swing_deg": 12.0, "swing_towards_deg": 40.0}])
def test_speed_is_how_far_a_spot_moves_in_a_short_time(motion):
    scene = evening(
        ball=[
            {
                "shape": {"base": "rhombicosidodecahedron", "steps": [{"do": "raise", "sides": 5}]},
                "motion": motion,
            }
        ],
        lamp=[{"at_m": [2.0, 0.3, 1.2], "beam_deg": 12.0}],
    )
    step = 1e-4
    early, now, late = (found(scene.at(seconds=2.0 + k * step)) for k in (-1, 0, 1))
    before = {tuple(k): p for k, p in zip(early.key, early.point, strict=True)}
    after = {tuple(k): p for k, p in zip(late.key, late.point, strict=True)}
    ratios = [
        math.dist(before[tuple(k)], after[tuple(k)]) / (2.0 * step * v)
        for k, v in zip(now.key, now.speed, strict=True)
        if tuple(k) in before and tuple(k) in after
    ]
    assert len(ratios) > 30
    # Windows that the shadows of other panels cut move a little on their tiles.
    assert np.median(ratios) == pytest.approx(1.0, abs=1e-4)
    assert np.percentile(np.abs(np.array(ratios) - 1.0), 80) < 0.02


def test_a_flat_mirror_in_the_axis_sends_its_spot_round_a_wall_at_twice_its_own_speed():
    """A mirror turned by a turns its beam by 2 a (Hecht, Optics), so a spot on an upright wall of
    radius R about the axis goes at 2 w R, wherever in the level of the mirror the lamp stands."""
    scene = build(
        scene_of(
            {
                "room": {"radius_m": 5.0, "wall_m": 4.0},
                "tile": {"edge_mm": 8.0, "panel_edge_mm": 8.1, "thickness_mm": 0.1},
                "ball": [
                    {
                        "shape": {"base": "prism", "sides": 3},
                        "hang": {"height_m": 2.0, "by": "face", "sides": 3},
                        "motion": {"rpm": 3.0},
                    }
                ],
                "lamp": [{"at_m": [3.0, 0.0, 2.0]}],
            }
        )
    )
    closed = found(scene.at(degrees=25.0))
    level = np.abs(closed.point[:, 2] - 2.0) < 0.01
    assert level.any()
    speed = 2.0 * scene.balls[0].turning * 5.0
    # The mirrors are a few millimetres off the axis, the wall 5 m.
    assert closed.speed[level] == pytest.approx(speed, rel=2e-3)


def test_a_still_ball_throws_still_spots():
    scene = evening(ball=[{"shape": {"base": "octahedron"}, "motion": {"rpm": 0.0}}])
    assert np.all(found(scene.at(degrees=3)).speed == 0.0)


@pytest.mark.parametrize(
    "motion, most",
    [
        ({"rpm": 2.0}, 1.0),
        ({"twist_turns": 0.5, "twist_period_s": 20.0}, 1.0),
        ({"swing_deg": 12.0}, 1.1),
    ],
)
def test_no_spot_moves_faster_than_the_fastest(motion, most):
    """Square to the light, at twice the angle that a mirror turns by (Hecht); not much slower
    either, where the balls turn at their fastest."""
    scene = evening(
        ball=[
            {
                "shape": {"base": "rhombicosidodecahedron", "steps": [{"do": "raise", "sides": 5}]},
                "hang": {"at_m": [0.8, -0.5]},
                "motion": motion,
            }
        ],
        lamp=[{"at_m": [2.0, 0.3, 1.2], "beam_deg": 40.0}],
    )
    fastest = []
    for seconds in np.linspace(0.0, 5.0, 40):
        pose = scene.at(seconds=float(seconds))
        spot = found(pose)
        light = spot.point - pose.centres[0]
        light /= np.linalg.norm(light, axis=1, keepdims=True)
        along = np.sum(spot.velocity * light, axis=1, keepdims=True)
        fastest.append(np.linalg.norm(spot.velocity - along * light, axis=1).max())
    assert 0.5 < max(fastest) / scene.fastest_spot < most


def test_tiles_are_numbered_per_ball_and_a_chain_names_every_ball():
    """Two mirror balls side by side: what one throws aside falls on the other."""
    ball = {"shape": {"base": "rings", "diameter_m": 0.2}, "tile": {"edge_mm": 20.0}}
    balls = [
        {**ball, "name": name, "hang": {"at_m": [x, 0.0], "height_m": 1.6}}
        for name, x in (("left", -0.12), ("right", 0.12))
    ]
    lamp = [{"at_m": [0.0, -2.5, 1.6], "aim": [0.0, 0.0, 1.6], "beam_deg": 12.0}]
    scene = build(scene_of({"room": {"radius_m": 4.0}, "ball": balls, "lamp": lamp}))
    rows = spots(scene.at(degrees=10))
    count = len(scene.balls[0].body.tile_sides)
    assert {row.ball for row in rows} == {"left", "right"}
    assert all(0 <= tile < count for row in rows for tile in row.tiles)
    assert all(row.balls[-1] == row.ball and len(row.balls) == len(row.tiles) for row in rows)
    assert any(set(row.balls) == {"left", "right"} for row in rows)
