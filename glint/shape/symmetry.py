"""How many turns about +z map panels and tiles onto themselves, found from the geometry alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from glint.shape import polygons
from glint.shape.polygons import Polygons

TOLERANCE = 1e-7
"""How far a point may fall from its image, as a share of the body's radius."""


def rotation_order(groups: Sequence[Polygons], tolerance: float = TOLERANCE) -> int:
    """The largest k such that a turn by 360 / k degrees about +z maps each group onto itself.

    Polygons with their middle off the axis go round in rings, so k divides how many of them there
    are at each height: this leaves few candidates, and each is tried on every middle and corner.
    """
    radius = max(float(np.linalg.norm(group.corners, axis=2).max()) for group in groups)
    near = tolerance * radius
    middles = [polygons.centres(group) for group in groups]
    most = math.gcd(*(_common_count(points, near) for points in middles))
    if most < 2:
        return 1
    corners = [group.corners.reshape(-1, 3) for group in groups]
    clouds = [(points, _from_above(points)) for points in (*middles, *corners)]
    for order in range(most, 1, -1):
        if most % order == 0 and all(_maps_onto_itself(*cloud, order, near) for cloud in clouds):
            return order
    return 1


def _common_count(middles: np.ndarray, near: float) -> int:
    """The largest number that divides the count of middles off the axis at every height.

    Heights with less than `near` between them count as one.
    """
    off_axis = np.hypot(middles[:, 0], middles[:, 1]) > near
    heights = np.sort(middles[off_axis, 2])
    last = np.append(np.diff(heights) > near, True)
    return math.gcd(*np.diff(np.flatnonzero(last), prepend=-1).tolist())


def _from_above(points: np.ndarray) -> shapely.STRtree:
    return shapely.STRtree(np.asarray(shapely.points(points[:, :2])))


def _maps_onto_itself(points: np.ndarray, tree: shapely.STRtree, order: int, near: float) -> bool:
    """tree: of the points as seen from above."""
    angle = 2 * math.pi / order
    cosine, sine = math.cos(angle), math.sin(angle)
    turn = np.array([[cosine, sine, 0.0], [-sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    turned = points @ turn
    one, other = tree.query(shapely.points(turned[:, :2]), predicate="dwithin", distance=near)
    level = np.abs(turned[one, 2] - points[other, 2]) <= near
    return len(set(one[level].tolist())) == len(points)
