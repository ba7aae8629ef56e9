"""What the balls cover, seen from each lamp: silhouettes for the shadows in the spilt light."""

from __future__ import annotations

import math
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from glint.kernels.arrays import Floats
from glint.kernels.geometry.silhouette import lifted, star_silhouette
from glint.kernels.illuminance.direct_light import Silhouettes
from glint.lighting.prepared import lighting_of
from glint.scene.scene import Pose
from glint.shape.body import Body
from glint.shape.polygons import frame_along

MERGE = 1e-6
"""Panel corners nearer than this are one, m."""

MOST_GAPS = 2e-3
"""Gaps in a silhouette, as a share of its area, that may count as covered."""

LEAST_AHEAD = 0.6
"""Cosine of the angle to a lamp's axis from which on balls count as far to the side."""

DIRECTIONS = np.random.default_rng(7).normal(size=(12, 3))
DIRECTIONS /= np.linalg.norm(DIRECTIONS, axis=1, keepdims=True)
"""(12, 3) float: where a body is looked at from when gaps are sought."""

FAR = 1000.0
"""How far away, in radii of the body."""


def silhouettes(pose: Pose) -> Silhouettes:
    """Cut-outs of the balls, one a lamp for every group of balls that overlap as it sees them.

    Every panel and tile is projected from the lens centre onto a plane through the group's middle
    and united with the rest; so each shadow is exact for the lens centre, and its penumbra is
    that of a flat cut-out at the balls' distance: parallel to the lens, or square to the line of
    sight where the balls are far to the side. What lies between a tile's rim and its panel
    counts as covered: tiles are solid.
    """
    edges, start, owner = [], [0], []
    lamps = lighting_of(pose.scene).lamp_arrays
    for lamp, lens in enumerate(lamps.position):
        for group in _groups(pose, lens):
            rings = _cut_out(pose, group, lens, lamps.frame[lamp, 2])
            edges.append(rings)
            start.append(start[-1] + len(rings))
            owner.append(lamp)
    together = np.concatenate(edges) if edges else np.zeros((0, 2, 3))
    owners = np.array(owner, np.int64)
    return Silhouettes(together, np.array(start, np.int64), owners, np.zeros_like(owners))


def inner_radius(body: Body) -> float:
    """`_inner_radius`, worked out once a body."""
    if body not in _INNER_RADII:
        _INNER_RADII[body] = _inner_radius(body)
    return _INNER_RADII[body]


_INNER_RADII: WeakKeyDictionary[Body, float] = WeakKeyDictionary()


def _inner_radius(body: Body) -> float:
    """The radius of a sphere about the middle of a body whose silhouette can be sought outwards
    from there, m, inside which all is hidden; 0 where it cannot.

    True of a body that holds its middle, is closed or has one flat opening (what can be looked
    into through that cannot be seen through), and hides, along every line from its middle, all
    up to its edge: because all its panels face away from the middle, or, by trial, nearly so.
    """
    rim = _rim(body)
    if len(rim):
        away = rim - rim.mean(axis=0)
        if np.abs(away @ np.linalg.svd(away, full_matrices=False)[2][2]).max() > MERGE:
            return 0.0
    corners = body.panel_corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    heights = np.einsum("ni,ni->n", normals, corners[:, 0])
    if heights.min() > 0.0:
        return float(heights.min())
    reach = _distance(body)
    return reach if reach > MERGE and _gaps(body) < MOST_GAPS else 0.0


def _distance(body: Body) -> float:
    """From the middle to the nearest panel, m; zero where the middle is not inside."""
    nearest, turned = np.inf, 0.0
    for corners, sides in zip(body.panel_corners, body.panel_sides, strict=True):
        ring = corners[:sides]
        away = np.linalg.norm(ring, axis=1)
        for i in range(1, sides - 1):
            # Solid angle of a triangle (Van Oosterom & Strackee 1983, equation 8).
            a, b, c = ring[0], ring[i], ring[i + 1]
            la, lb, lc = away[0], away[i], away[i + 1]
            below = la * lb * lc + (a @ b) * lc + (b @ c) * la + (c @ a) * lb
            turned += 2.0 * np.arctan2(a @ np.cross(b, c), below)
        normal = np.cross(ring[1] - ring[0], ring[2] - ring[0])
        normal /= np.linalg.norm(normal)
        across = (ring[1] - ring[0]) / np.linalg.norm(ring[1] - ring[0])
        plane = np.column_stack([ring @ across, ring @ np.cross(normal, across)])
        aside = shapely.distance(shapely.Polygon(plane), shapely.Point(0.0, 0.0))
        nearest = min(nearest, float(np.hypot(ring[0] @ normal, aside)))
    # A middle outside sees as many fronts as backs; an opening takes less than half of all.
    return nearest if turned > 2.0 * np.pi else 0.0


def _gaps(body: Body) -> float:
    """The largest share of the silhouette, of several, that is not behind a panel."""
    shares = []
    for direction in DIRECTIONS:
        lens, frame = -FAR * body.radius * direction, frame_along(direction)
        ring = star_silhouette(body.panel_corners, body.panel_sides, lens, frame, np.zeros(3), 0.0)
        seen = shapely.area(_united(_flat(body.panel_corners, lens, frame)))
        shares.append(1.0 - float(seen) / shapely.Polygon(ring).area)
    return max(shares)


def _united(flat: Floats) -> shapely.Geometry:
    """The union of flat polygons, (n, V, 2) float, whose short rows repeat their last corner."""
    shapes = np.asarray(shapely.polygons(np.concatenate([flat, flat[:, :1]], axis=1)))
    return shapely.union_all(shapely.make_valid(shapes[shapely.area(shapes) > 1e-16]))


def _rim(body: Body) -> Floats:
    """Corners of edges that only one panel has: (k, 3) float."""
    rings = [c[:n] for c, n in zip(body.panel_corners, body.panel_sides, strict=True)]
    ends = np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings])
    _, number = np.unique(np.round(ends.reshape(-1, 3) / MERGE), axis=0, return_inverse=True)
    pairs = np.sort(number.reshape(-1, 2), axis=1)
    _, first, count = np.unique(pairs, axis=0, return_index=True, return_counts=True)
    return ends[first[count == 1]].reshape(-1, 3)


def _groups(pose: Pose, lens: Floats) -> list[list[int]]:
    """Balls that overlap as seen from a lens, grouped."""
    balls = pose.scene.balls
    if len(balls) == 1:
        return [[0]]
    away = pose.centres - lens
    distance = np.linalg.norm(away, axis=1)
    angles = np.arcsin(np.minimum([ball.body.radius for ball in balls] / distance, 1.0))
    groups: list[list[int]] = []
    for ball in range(len(balls)):
        cosines = away @ away[ball] / (distance * distance[ball])
        near = np.arccos(np.clip(cosines, -1.0, 1.0)) < angles + angles[ball]
        apart = [group for group in groups if not near[group].any()]
        joined = [ball] + [member for group in groups if near[group].any() for member in group]
        groups = [*apart, sorted(joined)]
    return groups


def _cut_out(pose: Pose, group: list[int], lens: Floats, axis: Floats) -> Floats:
    """Edges of what a group of balls covers: (e, 2, 3) float, m. axis: (3,) float, of the lamp."""
    away = sum(pose.centres[ball] for ball in group) / len(group) - lens
    distance = math.sqrt(away @ away)
    frame = frame_along(away / distance)
    parts = [_flat_silhouette(pose, ball, lens, frame) for ball in group]
    if len(parts) == 1 and len(parts[0]) == 1:
        rings = parts[0]
    else:
        shapes = [_region(part) for part in parts]
        rings = _rings(shapely.union_all(shapely.make_valid(np.array(shapes))))
    depth = float(away @ axis)
    # How far along the axis what lies 1 m ahead is.
    x, y, z = frame @ axis
    if any((ring @ (x, y) + z).min() < LEAST_AHEAD for ring in rings):
        axis, depth = frame[2], distance
    edges = [lifted(ring, lens, frame, axis, depth) for ring in rings]
    return np.concatenate(edges) if edges else np.zeros((0, 2, 3))


def _flat_silhouette(pose: Pose, ball: int, lens: Floats, frame: Floats) -> list[Floats]:
    """One ball's silhouette as rings on the plane 1 m ahead of a lens: (k, 2) float each."""
    polygons, scene = pose.polygons, pose.scene
    mine = slice(*np.searchsorted(polygons.ball, [ball, ball + 1]))
    corners, sides = polygons.corners[mine], polygons.sides[mine]
    inner = inner_radius(scene.balls[ball].body)
    if inner > 0.0:
        return [star_silhouette(corners, sides, lens, frame, pose.centres[ball], inner)]
    return _rings(_united(_flat(corners, lens, frame)))


def _flat(corners: Floats, lens: Floats, frame: Floats) -> Floats:
    """Corners (..., 3) on the plane 1 m ahead of a lens: (..., 2) float."""
    seen = (corners - lens) @ frame.T
    return seen[..., :2] / seen[..., 2:]


def _region(rings: list[Floats]) -> shapely.Geometry:
    """Rings with holes as one shape: what an odd number of them surrounds."""
    region: shapely.Geometry = shapely.Polygon()
    for ring in rings:
        region = shapely.symmetric_difference(region, shapely.make_valid(shapely.Polygon(ring)))
    return region


def _rings(union: shapely.Geometry) -> list[Floats]:
    """Rings of a shape, open at the end; around holes they run the other way."""
    union = shapely.orient_polygons(union)
    return [
        shapely.get_coordinates(ring)[:-1]
        for part in shapely.get_parts(union)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
