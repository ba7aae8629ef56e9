"""The girth: the least loop of cord that passes straight over a finished body.

A loop drawn over a body along a direction u must go round its shadow along u, and round that of
its convex hull alike. The perimeter of the shadow, as a function f of u of any length with
f(c u) = |c| f(u), is convex: it is the sum, over the edges of the hull, of edge length times the
mean of |u . n| over the normals n along the edge (a support function of a zonoid; Schneider,
Convex Bodies, 2nd edition 2014, sections 3.5 and 5.3; from memory). So a tangent plane of f
anywhere bounds it everywhere from below, and halving spherical triangles, from the octahedron's
faces on, brackets the minimum to any wanted width.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.spatial import ConvexHull

from glint.shape import polygons

ACCURACY, ROUGHLY = 1e-3, 5e-3
"""Width of the bracket, as a share of the girth; the second for hulls of many edges."""

MANY_EDGES = 800

AT_ONCE = 2_000_000
"""Edges times directions that are looked at together: about 0.1 GB."""


class Girth(NamedTuple):
    """loop: the length of a loop that passes, along direction (3,); none shorter than `least` does;
    in the unit of the points.
    """

    loop: float
    least: float
    direction: np.ndarray


class _Edges(NamedTuple):
    """Edges of a hull: vectors (e, 3), and the outward normals (e, 2, 3) of the facets beside."""

    vectors: np.ndarray
    normals: np.ndarray


def girth(points: np.ndarray, accuracy: float | None = None) -> Girth:
    """The least perimeter of a shadow of the points (n, 3), within a share `accuracy` of it."""
    edges = _hull_edges(points)
    if accuracy is None:
        accuracy = ACCURACY if len(edges.vectors) <= MANY_EDGES else ROUGHLY
    best, direction = np.inf, np.zeros(3)
    if len(edges.vectors) <= MANY_EDGES:
        # Where shadows are least, facets are often seen edge-on, along one of their edges.
        along = polygons.unit(edges.vectors)
        values, _ = _shadow(edges, along)
        first = int(np.argmin(values))
        best, direction = float(values[first]), along[first]
    triangles = _octant_faces()
    while True:
        middles = polygons.unit(triangles.sum(axis=1))
        value, slope = _shadow(edges, middles)
        lowest = int(np.argmin(value))
        if value[lowest] < best:
            best, direction = float(value[lowest]), middles[lowest]
        # Inside a flat triangle a plane is lowest at a corner; the sphere lies further out.
        bounds = np.einsum("tk,tck->tc", slope, triangles).min(axis=1)
        open_still = bounds < best * (1.0 - accuracy)
        if not open_still.any():
            return Girth(best, best * (1.0 - accuracy), direction)
        triangles = _quartered(triangles[open_still])


def _shadow(edges: _Edges, directions: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """f (d,) and its slope (d, 3) along each direction (d, 3).

    The outline is made of the edges that part a facet that looks along the direction from one that
    looks back; each counts with its length foreshortened.
    """
    at_once = max(AT_ONCE // max(len(edges.vectors), 1), 1)
    if len(directions) > at_once:
        parts = [
            _shadow(edges, directions[first : first + at_once])
            for first in range(0, len(directions), at_once)
        ]
        values, slopes = zip(*parts, strict=True)
        return np.concatenate(values), np.concatenate(slopes)
    ahead = np.einsum("dk,esk->des", directions, edges.normals) >= 0
    outline = ahead[..., 0] != ahead[..., 1]
    lengths = np.linalg.norm(edges.vectors, axis=1)
    units = edges.vectors / lengths[:, None]
    along = directions @ units.T
    sine = np.sqrt(np.maximum(1.0 - along**2, 1e-30))
    values = (outline * lengths * sine).sum(axis=1)
    weights = np.where(outline, lengths / sine, 0.0)
    slopes = weights.sum(axis=1)[:, None] * directions - (weights * along) @ units
    return values, slopes


def _hull_edges(points: np.ndarray) -> _Edges:
    hull = ConvexHull(points)
    facets, neighbours = hull.simplices, hull.neighbors
    rows = []
    for one, (corners, beside) in enumerate(zip(facets, neighbours, strict=True)):
        for place, other in enumerate(beside):
            if one < other:
                a, b = np.delete(corners, place)
                rows.append((points[b] - points[a], one, other))
    vectors = np.array([row[0] for row in rows])
    normals = hull.equations[:, :3][np.array([row[1:] for row in rows])]
    # Edges between two triangles of one flat facet are on no outline, but for rounding.
    real = np.linalg.norm(normals[:, 0] - normals[:, 1], axis=1) > 1e-9
    return _Edges(vectors[real], normals[real])


def _octant_faces() -> np.ndarray:
    """Spherical triangles (4, 3, 3) of half the sphere, which is all as f(-u) = f(u).

    Turned by a fixed odd angle, so that their middles fall on no plane of a symmetric body.
    """
    faces = np.array([np.diag([x, y, 1.0]) for x in (1, -1) for y in (1, -1)])
    turn, _ = np.linalg.qr(np.array([[1.0, 0.37, 0.11], [0.29, 1.0, 0.53], [0.17, 0.41, 1.0]]))
    return faces @ turn


def _quartered(triangles: np.ndarray) -> np.ndarray:
    a, b, c = triangles.transpose(1, 0, 2)
    ab, bc, ca = polygons.unit(a + b), polygons.unit(b + c), polygons.unit(c + a)
    parts = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.concatenate([np.stack(part, axis=1) for part in parts])
