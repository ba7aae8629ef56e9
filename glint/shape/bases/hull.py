"""Convex solids from their corners."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from glint.shape.polyhedron import Polyhedron

_ON_PLANE = 1e-9


def hull(points: np.ndarray) -> Polyhedron:
    """The convex hull of points (n, 3) about their middle, all of them its corners, with edge 1.

    Corners an edge apart are nearer to each other than any two without one. Two edges of a corner
    span a face where no point lies beyond their plane. (A library's hull would do, and would take
    a sixth of a second to load, each time that glint starts.)
    """
    order = np.lexsort((-points[:, 0], -points[:, 1], -np.round(points[:, 2], 9)))
    points = points[order]
    apart = np.linalg.norm(points[:, None] - points, axis=2)
    edge = apart[apart > 0.0].min()
    corner, first, second = np.array(
        [
            (i, *pair)
            for i, row in enumerate(apart)
            for pair in combinations(np.flatnonzero((row > 0.0) & (row < edge + _ON_PLANE)), 2)
        ]
    ).T
    normals = np.cross(points[first] - points[corner], points[second] - points[corner])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    outward = np.einsum("nk,nk->n", normals, points[corner])
    normals[outward < 0.0] *= -1.0
    heights = points @ normals.T - np.abs(outward)
    outer = heights.max(axis=0) < _ON_PLANE
    on_plane = np.abs(heights[:, outer]) < _ON_PLANE
    _, each = np.unique(on_plane, axis=1, return_index=True)
    faces = sorted(
        (_around(points, np.flatnonzero(on_plane[:, i]), normals[outer][i]) for i in each),
        key=lambda face: (len(face), face),
    )
    return Polyhedron(points / edge, tuple(faces))


def _around(points: np.ndarray, corners: np.ndarray, normal: np.ndarray) -> tuple[int, ...]:
    """Corners of one face, anticlockwise about its outward normal, the lowest number first."""
    spokes = points[corners] - points[corners].mean(axis=0)
    across = np.cross(normal, spokes[0])
    ring = corners[np.argsort(np.arctan2(spokes @ across, spokes @ spokes[0]))]
    return tuple(int(i) for i in np.roll(ring, -int(np.argmin(ring))))
