"""Polygons that cut through each other in space.

Polygons that only touch, along an edge or at a corner, do not cut.
"""

from __future__ import annotations

import numpy as np
import shapely

from glint.shape import polygons
from glint.shape.polygons import Polygons

DEPTH = 1e-7
"""How deep polygons go into each other before they count as cutting, as a share of the largest."""

_AT_ONCE = 50_000  # pairs looked at together, to bound the memory


def cutting_pairs(shapes: Polygons, tolerance: float = DEPTH) -> np.ndarray:
    """Every pair of polygons that cut through each other or overlap in one plane, (k, 2) int.

    tolerance: how deep they must go, as a share of the largest polygon's radius. Two polygons cut
    where each has corners on both sides of the other's plane and the stretches in which they meet
    the line common to both planes overlap (T. Moller, "A fast triangle-triangle intersection test",
    1997, whose argument holds for any convex polygon).
    """
    middles = polygons.centres(shapes)
    reach = np.linalg.norm(shapes.corners - middles[:, None], axis=2).max(axis=1)
    depth = tolerance * reach.max(initial=0.0)
    near = near_pairs(shapes.corners, depth)
    normals = polygons.normals(shapes)
    parts = [near[:0]]
    for start in range(0, len(near), _AT_ONCE):
        pairs = near[start : start + _AT_ONCE]
        parts.append(pairs[_cut(shapes.corners, normals, pairs, depth)])
    found = np.concatenate(parts)
    return found[np.lexsort((found[:, 1], found[:, 0]))]


def near_pairs(corners: np.ndarray, depth: float) -> np.ndarray:
    """Pairs of shapes with corners (n, V, 3) whose boxes, larger by a depth, meet: (p, 2) int, the
    lower number first.
    """
    low, high = corners.min(axis=1) - depth, corners.max(axis=1)
    shadows = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    first, second = shapely.STRtree(shadows).query(shadows)
    once = first < second
    first, second = first[once], second[once]
    meet = (low[first, 2] <= high[second, 2]) & (low[second, 2] <= high[first, 2])
    return np.stack([first[meet], second[meet]], axis=1)


def _cut(corners: np.ndarray, normals: np.ndarray, pairs: np.ndarray, depth: float) -> np.ndarray:
    """Which pairs cut, (p,) bool."""
    first, second = corners[pairs[:, 0]], corners[pairs[:, 1]]
    up_first, up_second = normals[pairs[:, 0]], normals[pairs[:, 1]]
    over_first = _heights(second, first[:, 0], up_first)
    over_second = _heights(first, second[:, 0], up_second)
    cut = _on_both_sides(over_first, depth) & _on_both_sides(over_second, depth)
    line = polygons.unit(np.cross(up_first[cut], up_second[cut]))
    low, high = _stretch(first[cut], over_second[cut], line)
    other_low, other_high = _stretch(second[cut], over_first[cut], line)
    cut[cut] = np.minimum(high, other_high) - np.maximum(low, other_low) > depth
    flat = (np.abs(over_first) <= depth).all(axis=1) & (np.abs(over_second) <= depth).all(axis=1)
    parted = _parted(first[flat], second[flat], up_first[flat], depth)
    cut[flat] = ~(parted | _parted(second[flat], first[flat], up_second[flat], depth))
    return cut


def _heights(corners: np.ndarray, origins: np.ndarray, normals: np.ndarray) -> np.ndarray:
    """Height of each corner (p, V) above the plane through an origin."""
    return np.einsum("pvk,pk->pv", corners - origins[:, None], normals)


def _on_both_sides(heights: np.ndarray, depth: float) -> np.ndarray:
    return (heights.max(axis=1) > depth) & (heights.min(axis=1) < -depth)


def _stretch(
    corners: np.ndarray, heights: np.ndarray, line: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """From where to where along `line` (p, 3) each polygon meets the plane of its heights."""
    along = np.einsum("pvk,pk->pv", corners, line)
    next_height, next_along = np.roll(heights, -1, axis=1), np.roll(along, -1, axis=1)
    crosses = heights * next_height < 0
    share = heights / np.where(crosses, heights - next_height, 1.0)
    place = np.where(crosses, along + share * (next_along - along), along)
    meets = crosses | (heights == 0)
    low = np.where(meets, place, np.inf).min(axis=1)
    high = np.where(meets, place, -np.inf).max(axis=1)
    return low, high


def _parted(shape: np.ndarray, other: np.ndarray, normals: np.ndarray, depth: float) -> np.ndarray:
    """Whether some edge of `shape` has all of `other`, in its plane, on its outer side, (p,) bool.

    If no edge of either of two polygons parts them, they overlap (separating axis theorem).
    """
    outward = np.cross(np.roll(shape, -1, axis=1) - shape, normals[:, None])
    length = np.linalg.norm(outward, axis=2)
    outward = outward / np.where(length > 0, length, 1.0)[..., None]
    beyond = np.einsum("pek,pevk->pev", outward, other[:, None] - shape[:, :, None])
    return ((length > 0) & (beyond.min(axis=2) >= -depth)).any(axis=1)
