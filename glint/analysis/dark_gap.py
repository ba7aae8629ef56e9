"""The largest dark gap: the widest circle overhead without a spot in it."""

from __future__ import annotations

import itertools
import math

import numpy as np
from scipy.spatial import ConvexHull, KDTree, QhullError, SphericalVoronoi

from glint.kernels.arrays import Floats, Integers
from glint.room.solid_angle_region import Sky

FEW = 8
"""Spots up to which every pair and triple is tried, which no degenerate set can upset."""

SAME = 1e-9
"""Directions nearer to each other than this, rad, are one."""


def largest_gap(directions: Floats, sky: Sky) -> tuple[float, Floats]:
    """Angular radius, rad, and middle of the widest empty circle whose middle lies in a sky.

    directions: (n, 3) float, unit vectors of spots. The place farthest from all spots is a corner
    of the spherical Voronoi diagram, or lies on the rim: on the border between two neighbours'
    cells, opposite a spot, or in a corner. NaN where there are no spots.
    """
    zenith = np.array([0.0, 0.0, 1.0])
    if not len(directions):
        return math.nan, zenith
    sites = _apart(directions)
    corners, pairs = _diagram(sites)
    # Where the spots lie in one half of the sphere, the far end of a border, or of a spot.
    behind = -np.concatenate([sites, sites[pairs].sum(axis=1)])
    length = np.linalg.norm(behind, axis=1, keepdims=True)
    inside = np.concatenate([corners, behind / np.maximum(length, 1e-300)])
    candidates = np.concatenate([inside[sky.holds(inside)], sky.rim_places(sites, pairs)])
    chord, _ = KDTree(sites).query(candidates)
    widest = int(np.argmax(chord))
    return 2.0 * math.asin(min(0.5 * float(chord[widest]), 1.0)), candidates[widest]


def _apart(directions: Floats) -> Floats:
    near = KDTree(directions).query_pairs(SAME, output_type="ndarray")
    return np.delete(directions, near[:, 1], axis=0)


def _diagram(sites: Floats) -> tuple[Floats, Integers]:
    """Corners (c, 3) of the Voronoi diagram, and pairs (p, 2) of neighbouring sites."""
    if len(sites) > FEW:
        try:
            corners = SphericalVoronoi(sites).vertices
            triangles = ConvexHull(sites).simplices.astype(np.int64)
        except (ValueError, QhullError):
            pass  # All on one circle: every pair is tried below, and the circle's two poles.
        else:
            return corners, np.concatenate([triangles[:, [i, i - 1]] for i in range(3)])
    pairs = np.array(list(itertools.combinations(range(len(sites)), 2)), np.int64).reshape(-1, 2)
    few = range(min(len(sites), FEW))
    triples = np.array(list(itertools.combinations(few, 3)), np.int64).reshape(-1, 3)
    a, b, c = (sites[triples[:, k]] for k in range(3))
    poles = np.cross(b - a, c - a)
    length = np.linalg.norm(poles, axis=1, keepdims=True)
    poles = (poles / np.maximum(length, 1e-300))[length[:, 0] > 1e-12]
    return np.concatenate([poles, -poles, [[0.0, 0.0, 1.0]]]), pairs
