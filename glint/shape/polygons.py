"""Many flat polygons held in one array, for panels and tiles alike.

A polygon with fewer corners than the widest one repeats its last corner, so that sums over corners
and edges need no mask: a repeated corner adds an edge of no length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np


class Polygons(NamedTuple):
    """n flat convex polygons, anticlockwise seen from outside.

    corners: (n, V, 3) float; sides: (n,) int, the corners of each before padding.
    """

    corners: np.ndarray
    sides: np.ndarray


def gather(vertices: np.ndarray, faces: Sequence[tuple[int, ...]]) -> Polygons:
    """The polygons that faces, given as vertex numbers, make of vertices (v, 3)."""
    sides = np.array([len(face) for face in faces], dtype=np.int64)
    width = int(sides.max(initial=1))
    padded = [face + face[-1:] * (width - len(face)) for face in faces]
    index = np.array(padded, dtype=np.int64).reshape(len(faces), width)
    return Polygons(vertices[index], sides)


def widen(polygons: Polygons, width: int) -> Polygons:
    """The same polygons, padded to `width` corners a row."""
    corners, sides = polygons
    missing = width - corners.shape[1]
    if missing <= 0:
        return polygons
    return Polygons(
        np.concatenate([corners, np.repeat(corners[:, -1:], missing, axis=1)], 1), sides
    )


def centres(polygons: Polygons) -> np.ndarray:
    """Mean of the corners of each polygon, (n, 3) float."""
    corners, sides = polygons
    padding = (corners.shape[1] - sides)[:, None]
    return (corners.sum(axis=1) - padding * corners[:, -1]) / sides[:, None]


def area_vectors(polygons: Polygons) -> np.ndarray:
    """Area of each polygon along its outward normal, (n, 3) float, in the corners' unit squared."""
    spokes = polygons.corners - polygons.corners[:, :1]
    return 0.5 * np.cross(spokes, np.roll(spokes, -1, axis=1)).sum(axis=1)


def normals(polygons: Polygons) -> np.ndarray:
    """Outward unit normals, (n, 3) float."""
    return unit(area_vectors(polygons))


def unit(vectors: np.ndarray) -> np.ndarray:
    """Vectors (..., 3) scaled to length 1."""
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def frame_along(axis: np.ndarray) -> np.ndarray:
    """Right-handed unit axes (3, 3), rows, of which the last is a given one, (3,).

    Without a division by what may vanish (Duff et al. 2017, "Building an orthonormal basis,
    revisited", Journal of Computer Graphics Techniques 6).
    """
    x, y, z = (float(part) for part in axis)
    sign = math.copysign(1.0, z)
    a = -1.0 / (sign + z)
    b = x * y * a
    return np.array(
        [[1.0 + sign * x * x * a, sign * b, -sign * x], [b, sign + y * y * a, -y], [x, y, z]]
    )
