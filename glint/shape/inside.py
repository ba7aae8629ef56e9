"""What is inside a body, and where the lamps of a string lie there."""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from glint.shape import polygons
from glint.shape.polyhedron import Polyhedron, is_convex

TRIES = 400
"""Points tried for each that a bundle wants, before it is said not to fit."""

SAMPLE = 4000
"""Points after which a bundle that fits far too seldom is given up: one that TRIES would just do
for has found none among so many once in twenty thousand times."""


class Hollow:
    """The inside of a body, its openings closed; what is asked often is worked out once."""

    def __init__(self, body: Polyhedron) -> None:
        self.body = body

    @cached_property
    def reach(self) -> float:
        """Radius of the largest sphere about the origin inside the body, m; below zero: outside."""
        return float(self.clearance(np.zeros((1, 3)))[0])

    def clearance(self, points: np.ndarray) -> np.ndarray:
        """Distance (n,) float of points (n, 3) from faces and openings, below zero outside.

        Inside is where the surface fills more than half of the sphere of directions (its solid
        angle by Van Oosterom & Strackee 1983). Of a convex body it is the least distance from the
        plane of a face, which outside may be less far than the face.
        """
        points = np.asarray(points, float).reshape(-1, 3)
        if self._planes is not None:
            normals, heights = self._planes
            return np.array([(heights - normals @ point).min() for point in points])
        return np.array([self._clearance(point) for point in points])

    def holds(self, points: np.ndarray, free: float) -> np.ndarray:
        """Which of the points (n, 3) lie inside, `free` m at least from the surface: (n,) bool."""
        away = np.linalg.norm(points, axis=1)
        held = away + free <= self.reach  # within the sphere that is empty, and most points are
        asked = ~held & (away <= self._radius)
        held[asked] = self.clearance(points[asked]) >= free
        return held

    def _clearance(self, point: np.ndarray) -> float:
        from trimesh.triangles import closest_point

        triangles, middles, radii = self._triangles
        away = np.linalg.norm(middles - point, axis=1)
        near = triangles[away - radii <= away.min()]
        nearest = closest_point(near, np.broadcast_to(point, (len(near), 3)))
        distance = float(np.linalg.norm(nearest - point, axis=1).min())
        a, b, c = (triangles[:, k] - point for k in range(3))
        la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
        triple = np.einsum("ij,ij->i", a, np.cross(b, c))
        below = la * lb * lc + (a * b).sum(1) * lc + (b * c).sum(1) * la + (c * a).sum(1) * lb
        turns = 2.0 * np.arctan2(triple, below).sum()
        return distance if turns > 2.0 * math.pi else -distance

    @cached_property
    def _rings(self) -> list[np.ndarray]:
        """Corners of faces and openings, each (k, 3) float."""
        body = self.body
        whole = [*body.faces, *(body.divided.whole_ring(face) for face in body.open_faces)]
        return [body.vertices[list(ring)] for ring in whole]

    @cached_property
    def _radius(self) -> float:
        return max(float(np.linalg.norm(ring, axis=1).max()) for ring in self._rings)

    @cached_property
    def _planes(self) -> tuple[np.ndarray, np.ndarray] | None:
        """Outward normals (f, 3) and heights (f,) of a convex body's faces and openings."""
        body = self.body
        if not is_convex(body):
            return None
        closed = polygons.gather(body.vertices, body.faces + body.open_faces)
        normals = polygons.normals(closed)
        return normals, (normals * closed.corners[:, 0]).sum(axis=1)

    @cached_property
    def _triangles(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Faces and openings as triangles (t, 3, 3): they, their middles and how far they reach
        from these; larger faces as fans about their middles."""
        parts = []
        for ring in self._rings:
            if len(ring) == 3:
                parts.append(ring[None])
                continue
            middle = np.broadcast_to(ring.mean(axis=0), ring.shape)
            parts.append(np.stack([middle, ring, np.roll(ring, -1, axis=0)], axis=1))
        triangles = np.concatenate(parts)
        middles = triangles.mean(axis=1)
        return triangles, middles, np.linalg.norm(triangles - middles[:, None], axis=2).max(axis=1)


def bundle(hollow: Hollow, count: int, radius: float, free: float, seed: int) -> np.ndarray:
    """`count` random points, even over a ball of some radius about the origin, inside the body and
    `free` from its panels: (count, 3) float, m. Raises ValueError where they do not fit.
    """
    random = np.random.default_rng(seed)
    found = np.zeros((0, 3))
    for tried in range(count, count * TRIES + 1, count):
        way = random.normal(size=(count, 3))
        way /= np.linalg.norm(way, axis=1, keepdims=True)
        some = way * (radius * random.random(count) ** (1.0 / 3.0))[:, None]
        found = np.concatenate([found, some[hollow.holds(some, free)]])
        if len(found) >= count:
            return found[:count]
        if tried >= SAMPLE and 2 * TRIES * len(found) < tried:
            break
    raise ValueError("no room in the body")


def coil(count: int, radius: float, height: float, turns: float) -> np.ndarray:
    """Points evenly along a coil about the axis, from bottom to top: (count, 3) float, m."""
    along = (np.arange(count) + 0.5) / count
    angle = 2.0 * math.pi * turns * along
    rise = height * (along - 0.5)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), rise])
