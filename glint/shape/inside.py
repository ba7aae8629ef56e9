"""What is inside a body, and where the lamps of a string lie there."""

from __future__ import annotations

import math

import numpy as np

from glint.shape.polyhedron import Polyhedron

TRIES = 400
"""Points tried for each that a bundle wants, before it is said not to fit."""


def clearance(body: Polyhedron, points: np.ndarray) -> np.ndarray:
    """Distance (n,) float of points (n, 3) from faces and openings, below zero outside.

    Inside is where the surface, openings closed, fills more than half of the sphere of directions
    (its solid angle by Van Oosterom & Strackee 1983).
    """
    from trimesh.triangles import closest_point

    triangles = _triangles(body)
    points = np.asarray(points, float).reshape(-1, 3)
    distance = np.empty(len(points))
    turns = np.empty(len(points))
    for n, point in enumerate(points):
        near = closest_point(triangles, np.broadcast_to(point, (len(triangles), 3)))
        distance[n] = np.linalg.norm(near - point, axis=1).min()
        a, b, c = (triangles[:, k] - point for k in range(3))
        la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
        triple = np.einsum("ij,ij->i", a, np.cross(b, c))
        below = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la + (c * a).sum(1) * lb
        turns[n] = 2.0 * np.arctan2(triple, below).sum()
    return np.where(turns > 2.0 * math.pi, distance, -distance)


def bundle(body: Polyhedron, count: int, radius: float, free: float, seed: int) -> np.ndarray:
    """`count` random points, even over a ball of some radius about the origin, inside the body and
    `free` from its panels: (count, 3) float, m. Raises ValueError where they do not fit.
    """
    random = np.random.default_rng(seed)
    found = np.zeros((0, 3))
    for _ in range(TRIES):
        way = random.normal(size=(count, 3))
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        some = way * (radius * random.random(count) ** (1.0 / 3.0))[:, None]
        found = np.concatenate([found, some[clearance(body, some) >= free]])
        if len(found) >= count:
            return found[:count]
    raise ValueError("no room in the body")


def coil(count: int, radius: float, height: float, turns: float) -> np.ndarray:
    """Points evenly along a coil about the axis, from bottom to top: (count, 3) float, m."""
    along = (np.arange(count) + 0.5) / count
    angle = 2.0 * math.pi * turns * along
    rise = height * (along - 0.5)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), rise])


def inner_reach(body: Polyhedron) -> float:
    """Radius of the largest sphere about the origin inside the body, m; below zero: outside."""
    return float(clearance(body, np.zeros((1, 3)))[0])


def _triangles(body: Polyhedron) -> np.ndarray:
    """Faces and openings as fans about their middles: (t, 3, 3) float."""
    rings = [*body.faces, *(body.divided.whole_ring(face) for face in body.open_faces)]
    parts = []
    for ring in rings:
        corners = body.vertices[list(ring)]
        middle = np.broadcast_to(corners.mean(axis=0), corners.shape)
        parts.append(np.stack([middle, corners, np.roll(corners, -1, axis=0)], axis=1))
    return np.concatenate(parts)
