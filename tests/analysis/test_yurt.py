"""Measures of a room whose roof is of two surfaces, against a count of its own."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.measures import View
from glint.analysis.period import turn_of
from glint.lighting.illumination import beams
from glint.lighting.spots import spots_of
from tests.analysis.scenes import evening

ROOM = {"kind": "yurt", "radius_m": 2.5, "wall_m": 1.0, "rise_m": 1.3, "crown_m": 1.6}


def nothing(*_):
    """Neither progress nor light is watched."""


def test_spots_overhead_are_those_of_roof_and_crown():
    scene = evening(room=ROOM)
    turn = turn_of(scene)
    view = View(turn, 0.5, 0.1, nothing, nothing)
    values = view.values(0.0)
    pose = turn.at(0.0)
    spots = view.visible(spots_of(pose, beams(pose)[0]))
    x, y, z = spots.point.T
    # By place alone: not on the floor, and nearer to the axis than the wall.
    above = (z > 0.01) & (np.hypot(x, y) < 2.5 - 1e-6)
    crown = z > 2.3 - 1e-6
    assert 0 < crown.sum() < above.sum() < len(z)
    area = math.pi * (2.5 + 0.8) * math.hypot(1.7, 1.3) + math.pi * 0.64
    assert values["density_per_m2"] == pytest.approx(above.sum() / area)
    # Solid angle: all the upper half but what the wall's upper rim hides, seen from the floor's
    # middle; the eye stands aside, so a count of rays tells.
    draw = np.random.default_rng(1).normal(size=(200_000, 3))
    draw /= np.linalg.norm(draw, axis=1, keepdims=True)
    ex, ey, ez = scene.file.eye.at_m
    level = draw[:, 0] ** 2 + draw[:, 1] ** 2
    along = ex * draw[:, 0] + ey * draw[:, 1]
    reach = (np.sqrt(along**2 - level * (ex * ex + ey * ey - 6.25)) - along) / level
    overhead = (draw[:, 2] > 0.0) & (ez + reach * draw[:, 2] > 1.0)
    overhead |= (draw[:, 2] <= 0.0) & (ez > 1.0) & (ez + reach * draw[:, 2] > 1.0)
    wanted = above.sum() / (4.0 * math.pi * overhead.mean())
    assert values["density_per_sr"] == pytest.approx(wanted, rel=0.02)
