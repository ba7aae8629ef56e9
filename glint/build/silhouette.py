"""How large a ball looks from all sides: the area of its silhouette, mean and largest.

The mean over all directions of a convex body is a quarter of its surface (Cauchy 1841). A body with
valleys hides parts of itself: its outlines are united, exactly, along each direction.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from scipy.spatial import ConvexHull

from glint.shape import polygons
from glint.shape.body import Body

DIRECTIONS, FEW = 4096, 64
"""Directions looked along: at a convex body, and at one with valleys, each spread evenly over half
the sphere, as a body looks as large from behind."""

MOST_OUTLINES = 1500
"""A body with valleys and more panels and tiles than this counts as its hull, which is larger."""

AT_ONCE = 1_000_000
"""Directions times facets that are looked at together: less memory, and faster."""

_GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)


class Silhouette(NamedTuple):
    """Areas over all directions, m²."""

    mean: float
    largest: float


def silhouette(body: Body) -> Silhouette:
    """Mean and largest silhouette of a ball, tiles and all."""
    outlines = [
        corners[:count]
        for shapes in (body.panels, body.tiles)
        for corners, count in zip(*shapes, strict=True)
    ]
    if (body.convex and body.closed) or len(outlines) > MOST_OUTLINES:
        areas = hull_areas(np.concatenate(outlines), half_sphere(DIRECTIONS))
    else:
        normals = np.concatenate([polygons.normals(body.panels), polygons.normals(body.tiles)])
        areas = np.array([_seen_area(body, outlines, normals, way) for way in half_sphere(FEW)])
    return Silhouette(float(areas.mean()), float(areas.max()))


def half_sphere(count: int) -> np.ndarray:
    """Unit vectors (count, 3), spread evenly over the upper half sphere on a golden spiral."""
    places = np.arange(count) + 0.5
    z = 1.0 - places / count
    radius, azimuth = np.sqrt(1.0 - z**2), 2.0 * np.pi * _GOLDEN * places
    return np.stack([radius * np.cos(azimuth), radius * np.sin(azimuth), z], axis=1)


def hull_areas(points: np.ndarray, ways: np.ndarray) -> np.ndarray:
    """Areas (d,) of the shadow of a hull: half of the sum of its facets', foreshortened."""
    hull = ConvexHull(points)
    corners = points[hull.simplices]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    pieces = math.ceil(len(ways) * len(normals) / AT_ONCE)
    sums = [np.abs(some @ normals.T).sum(axis=1) for some in np.array_split(ways, pieces)]
    return 0.25 * np.concatenate(sums)


def _seen_area(
    body: Body, outlines: list[np.ndarray], normals: np.ndarray, way: np.ndarray
) -> float:
    """Of a closed body, what faces the viewer covers all that does not."""
    facing = normals @ way > 0 if body.closed else np.ones(len(normals), bool)
    return united_area([outlines[i] for i in np.flatnonzero(facing)], way)


def united_area(outlines: list[np.ndarray], way: np.ndarray) -> float:
    """Area of the shadow of polygons (k, 3) along a unit vector (3,)."""
    # Two unit vectors across the way, and across each other.
    across = np.cross(way, np.eye(3)[np.argmin(np.abs(way))])
    across /= np.linalg.norm(across)
    basis = np.stack([across, np.cross(way, across)])
    flat = [shapely.Polygon(corners @ basis.T) for corners in outlines]
    seen = [shape for shape in flat if shape.is_valid and shape.area > 0.0]
    return float(shapely.union_all(seen).area)
