"""What the balls cover, seen from each lamp: outlines for the shadows in the spilt light."""

from __future__ import annotations

import numpy as np
import shapely

from glint.optics.arrays import Floats, Lamps, Polygons
from glint.optics.spill import Outlines


def outlines(polygons: Polygons, lamps: Lamps) -> Outlines:
    """Cut-outs of the balls, one a lamp for every group of balls that overlap as it sees them.

    Every panel and tile is projected from the lens centre onto a plane through the group's middle
    and united with the rest; so each shadow is exact for the lens centre, and its penumbra is
    that of a flat cut-out at the balls' distance.
    """
    edges, start, owner = [], [0], []
    for lamp, lens in enumerate(lamps.position):
        for group in _groups(polygons, lens):
            rings = _united(polygons, group, lens)
            edges.append(rings)
            start.append(start[-1] + len(rings))
            owner.append(lamp)
    together = np.concatenate(edges) if edges else np.zeros((0, 2, 3))
    return Outlines(together, np.array(start, np.int64), np.array(owner, np.int64))


def _groups(polygons: Polygons, lens: Floats) -> list[np.ndarray]:
    """Balls that overlap as seen from a lens, grouped: polygon indices of each group."""
    directions, angles, members = [], [], []
    for ball in np.unique(polygons.ball):
        mine = np.flatnonzero(polygons.ball == ball)
        corners = polygons.corners[mine].reshape(-1, 3)
        middle = corners.mean(axis=0)
        radius = np.linalg.norm(corners - middle, axis=1).max()
        distance = np.linalg.norm(middle - lens)
        directions.append((middle - lens) / distance)
        angles.append(np.arcsin(min(radius / distance, 1.0)))
        members.append({int(ball)})
    count = len(members)
    for i in range(count):
        for j in range(i):
            apart = np.arccos(np.clip(directions[i] @ directions[j], -1.0, 1.0))
            if apart < angles[i] + angles[j] and members[i] is not members[j]:
                joined = members[i] | members[j]
                members = [joined if m & joined else m for m in members]
    unique: list[set[int]] = []
    for m in members:
        if m not in unique:
            unique.append(m)
    return [np.flatnonzero(np.isin(polygons.ball, sorted(m))) for m in unique]


def _united(polygons: Polygons, group: np.ndarray, lens: Floats) -> Floats:
    corners = polygons.corners[group]
    middle = corners.reshape(-1, 3).mean(axis=0)
    axis = middle - lens
    distance = np.linalg.norm(axis)
    axis = axis / distance
    across = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    across /= np.linalg.norm(across)
    frame = np.array([across, np.cross(axis, across), axis])
    local = (corners - lens) @ frame.T
    flat = local[..., :2] / local[..., 2:] * distance
    # Of a closed body the faces turned to the lens cover all; open ones may show their backs, so
    # both are taken: unions do not mind.
    closed = np.concatenate([flat, flat[:, :1]], axis=1)
    shapes = np.asarray(shapely.polygons(closed))
    shapes = shapes[shapely.area(shapes) > 1e-14]
    union = shapely.orient_polygons(shapely.union_all(shapely.make_valid(shapes)))
    found = []
    for part in shapely.get_parts(union):
        if part.geom_type != "Polygon":
            continue
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            place = np.column_stack([points, np.full(len(points), distance)])
            place = place @ frame + lens
            found.append(np.stack([place[:-1], place[1:]], axis=1))
    return np.concatenate(found) if found else np.zeros((0, 2, 3))
