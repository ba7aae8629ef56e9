"""Which pixels of a view bodies may cover, so that only those are traced ray by ray."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from glint.optics.arrays import Floats
from glint.optics.bodies import Bodies
from glint.optics.camera import Camera, projected, rays

STRETCH = 48
"""Most pixels of a row that one worker draws at a time."""

MARGIN = 2.0
"""Pixels about a body that are traced too."""


def spans_of(
    view: Camera, bodies: Bodies, turning: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Stretches of pixels that turning bodies may cover, and those that only others may.

    turning: how many bodies turn, the first ones: all pixels of their spheres are taken; of the
    others the boxes about their polygons. Returns (k, 3) int each: row, and columns from and to.
    """
    width, height = (int(side) for side in view.size)
    moving, mask = np.zeros((height, width), bool), np.zeros((height, width), bool)
    for centre, radius in zip(bodies.centre[:turning], bodies.radius, strict=False):
        _mark_sphere(view, centre, radius, moving)
    ends = [*bodies.root[1:], len(bodies.children)]
    for b in range(turning, len(bodies.root)):
        leaves = bodies.children[bodies.root[b] : ends[b]]
        leaves = leaves[leaves[:, 0] < 0]
        first, last = (-1 - leaves[:, 0]).min(), (-1 - leaves[:, 0] + leaves[:, 1]).max()
        for polygon in bodies.corners[first:last]:
            _mark_polygon(view, polygon + bodies.centre[b], mask)
    return _stretches(moving), _stretches(mask & ~moving)


def _mark_sphere(view: Camera, centre: Floats, radius: float, mask: NDArray[np.bool_]) -> None:
    away = centre - view.at
    distance = float(np.linalg.norm(away))
    if distance <= radius:
        mask[:] = True
        return
    height, width = mask.shape
    ys, xs = np.divmod(np.arange(width * height), width)
    ways = rays(view, xs + 0.5, ys + 0.5)
    angle = math.asin(radius / distance) + MARGIN / view.focal
    mask |= (ways @ (away / distance) >= math.cos(min(angle, math.pi))).reshape(mask.shape)


def _mark_polygon(view: Camera, corners: Floats, mask: NDArray[np.bool_]) -> None:
    seen = projected(view, corners)
    ahead = seen[:, 0] > 0
    if not ahead.any():
        return
    if not ahead.all():
        middle = corners.mean(axis=0)
        _mark_sphere(view, middle, float(np.linalg.norm(corners - middle, axis=1).max()), mask)
        return
    height, width = mask.shape
    low, high = seen[:, 1:].min(axis=0) - MARGIN, seen[:, 1:].max(axis=0) + MARGIN + 1.0
    x0, y0 = np.clip(low, 0, [width, height]).astype(int)
    x1, y1 = np.clip(high, 0, [width, height]).astype(int)
    mask[y0:y1, x0:x1] = True


def _stretches(mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    rows = []
    for y in np.flatnonzero(mask.any(axis=1)):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], mask[y].view(np.int8), [0]])))
        for start, stop in edges.reshape(-1, 2):
            rows += [(y, x, min(x + STRETCH, stop)) for x in range(start, stop, STRETCH)]
    return np.array(rows, np.int64).reshape(-1, 3)
