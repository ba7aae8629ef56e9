"""Which pixels of a view bodies may cover, so that only there they are looked for."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.kernels.camera.projection import Camera, projected, rays
from glint.kernels.geometry.bvh import Bodies, at_rest

MARGIN = 2.0
"""Pixels about a body that are taken too."""


def ways_of(view: Camera) -> Floats:
    """Where each pixel's middle looks: (h * w, 3) float, unit."""
    width, height = (int(side) for side in view.size)
    ys, xs = np.divmod(np.arange(width * height), width)
    return rays(view, xs + 0.5, ys + 0.5)


def covered(
    view: Camera,
    bodies: Bodies,
    turning: int,
    sweep: list[Floats] | None = None,
    ways: Floats | None = None,
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Pixels that moving bodies may cover, and those that only others may: (h, w) bool each.

    turning: how many bodies turn, the first ones: all pixels of their spheres are taken; of the
    others the boxes about their polygons. sweep: (k, 12) float of each body, ways that it stands,
    of which those that stay where they are have one; without it all are at rest. ways: `ways_of`
    the view, if they are there already.
    """
    width, height = (int(side) for side in view.size)
    ways = ways_of(view) if ways is None else ways
    if sweep is None:
        sweep = list(at_rest(bodies)[:, None])
    moving, still = np.zeros((height, width), bool), np.zeros((height, width), bool)
    for places, radius in zip(sweep[:turning], bodies.radius, strict=False):
        path = places[:, 9:]
        # Half a step more covers what lies between two places.
        steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
        for centre in path:
            _mark_sphere(view, ways, centre, radius + steps.max(initial=0.0) / 2.0, moving)
    for b in range(turning, len(bodies.radius)):
        mask = moving if len(sweep[b]) > 1 else still
        for polygon in bodies.corners[bodies.body == b]:
            turns = sweep[b][:, :9].reshape(-1, 3, 3)
            placed = np.einsum("kij,vj->kvi", turns, polygon) + sweep[b][:, None, 9:]
            # Two neighbouring places and all between lie in one box, but for the arc's bulge.
            for early, late in zip(placed, [*placed[1:], placed[-1]], strict=True):
                _mark_polygon(view, ways, np.concatenate([early, late]), mask)
    return moving, still & ~moving


def _mark_sphere(
    view: Camera, ways: Floats, centre: Floats, radius: float, mask: NDArray[np.bool_]
) -> None:
    """ways: (n, 3) float, unit, of all pixels."""
    away = centre - view.at
    distance = float(np.linalg.norm(away))
    if distance <= radius:
        mask[:] = True
        return
    angle = math.asin(radius / distance) + MARGIN / view.focal
    mask |= (ways @ (away / distance) >= math.cos(min(angle, math.pi))).reshape(mask.shape)


def _mark_polygon(view: Camera, ways: Floats, corners: Floats, mask: NDArray[np.bool_]) -> None:
    seen = projected(view, corners)
    ahead = seen[:, 0] > 0
    if not ahead.any():
        return
    if not ahead.all():
        middle = corners.mean(axis=0)
        radius = float(np.linalg.norm(corners - middle, axis=1).max())
        _mark_sphere(view, ways, middle, radius, mask)
        return
    height, width = mask.shape
    low, high = seen[:, 1:].min(axis=0) - MARGIN, seen[:, 1:].max(axis=0) + MARGIN + 1.0
    x0, y0 = np.clip(low, 0, [width, height]).astype(int)
    x1, y1 = np.clip(high, 0, [width, height]).astype(int)
    mask[y0:y1, x0:x1] = True
