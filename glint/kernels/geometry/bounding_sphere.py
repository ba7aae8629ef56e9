"""Spheres about polygons and balls: what is far from a cone is passed over."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats, Integers, Polygons
from glint.kernels.runtime.jit import kernel


class Spheres(NamedTuple):
    """A sphere about each polygon, and about each ball.

    polygon: (n, 4) float; ball: (k, 4) float: centre and radius, m
    start: (k + 1,) int, first polygon of each ball
    """

    polygon: Floats
    ball: Floats
    start: Integers


LONE = Spheres(np.zeros((0, 4)), np.zeros((1, 4)), np.zeros(2, np.int64))
"""Of a single ball in whose light nothing stands: no sphere is ever asked for."""


@kernel
def _distance(a, b):
    return math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2)


@kernel
def _about_corners(corners, spheres):
    """Spheres about the corners (n, v, 3) of each polygon, (n, 4), written; zero before."""
    for i in range(corners.shape[0]):
        for c in range(corners.shape[1]):
            for k in range(3):
                spheres[i, k] += corners[i, c, k] / corners.shape[1]
        for c in range(corners.shape[1]):
            spheres[i, 3] = max(spheres[i, 3], _distance(corners[i, c], spheres[i]))


@kernel
def about_spheres(spheres, start, balls):
    """A sphere about each group of spheres, (k, 4), written; zero before.

    spheres: (n, 4) float; start: (k + 1,) int, the first one of each group
    """
    for b in range(balls.shape[0]):
        for i in range(start[b], start[b + 1]):
            for k in range(3):
                balls[b, k] += spheres[i, k] / (start[b + 1] - start[b])
        for i in range(start[b], start[b + 1]):
            away = _distance(spheres[i], balls[b]) + spheres[i, 3]
            balls[b, 3] = max(balls[b, 3], away)


def polygon_spheres(polygons: Polygons) -> Floats:
    """Spheres about every polygon: (n, 4) float, centre and radius, m."""
    spheres = np.zeros((len(polygons.corners), 4))
    _about_corners(polygons.corners, spheres)
    return spheres


def spheres_about(polygons: Polygons) -> Spheres:
    """Spheres about every polygon and every ball, whose polygons must be consecutive."""
    spheres = polygon_spheres(polygons)
    balls = int(polygons.ball[-1]) + 1 if len(spheres) else 0
    start = np.searchsorted(polygons.ball, np.arange(balls + 1)).astype(np.int64)
    ball = np.zeros((balls, 4))
    about_spheres(spheres, start, ball)
    return Spheres(spheres, ball, start)
