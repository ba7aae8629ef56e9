"""Spheres about polygons and balls: what is far from a cone is passed over."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Floats, Integers, Polygons


class Spheres(NamedTuple):
    """A sphere about each polygon, and about each ball.

    polygon: (n, 4) float; ball: (k, 4) float: centre and radius, m
    start: (k + 1,) int, first polygon of each ball
    """

    polygon: Floats
    ball: Floats
    start: Integers


def polygon_spheres(polygons: Polygons) -> Floats:
    """Spheres about every polygon: (n, 4) float, centre and radius, m."""
    middle = polygons.corners.mean(axis=1)
    away = np.linalg.norm(polygons.corners - middle[:, None], axis=2).max(axis=1)
    return np.column_stack([middle, away])


def spheres_about(polygons: Polygons) -> Spheres:
    """Spheres about every polygon and every ball, whose polygons must be consecutive."""
    spheres = polygon_spheres(polygons)
    middle, away = spheres[:, :3], spheres[:, 3]
    balls = int(polygons.ball[-1]) + 1 if len(spheres) else 0
    start = np.searchsorted(polygons.ball, np.arange(balls + 1)).astype(np.int64)
    ball = np.zeros((balls, 4))
    for b in range(balls):
        mine = slice(start[b], start[b + 1])
        ball[b, :3] = middle[mine].mean(axis=0)
        ball[b, 3] = (np.linalg.norm(middle[mine] - ball[b, :3], axis=1) + away[mine]).max()
    return Spheres(spheres, ball, start)
