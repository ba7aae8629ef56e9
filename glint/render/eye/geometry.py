"""Everything solid that an eye may see: balls, the lines they hang by, lamps on stands, a pole."""

from __future__ import annotations

import math
from functools import partial
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats, Polygons
from glint.kernels.geometry.bvh import Bodies, at_rest, faces_of, solid_of, stances, tree
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.surfaces.ray_cast import cast_all
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.cavity import LedCavity
from glint.photometry.colour import hex_to_linear_rgb
from glint.render.eye.apertures import open_ball
from glint.scene.ball import Ball
from glint.scene.cache import Same, SharedCache
from glint.scene.scene import Pose, Scene
from glint.shape.polygons import Polygons as Faces
from glint.shape.polygons import frame_along, normals

BEAM = 0.01
"""A hook more than this below what is overhead hangs from a rod, m."""

MOMENTS = 33
"""Places along a swing at which it is seen which pixels a ball may cover."""

LINE = 0.002
"""Radius of the line that a ball hangs by, m; our own choice, as all that follows."""

STAND = 0.012
CAN_LENGTH, CAN_WIDTH = 3.2, 1.35
"""Of a lamp's housing: in lens radii, and its radius in lens radii."""

DARK = np.array([0.03, 0.03, 0.032])
WOOD = np.array([0.30, 0.20, 0.115])

NO_OPENINGS = np.zeros(0)


class Thing(NamedTuple):
    """One body before its tree is built: polygons in its own frame, as in Bodies.

    closed: whether nobody sees the back of any. depth: of its last polygons, the openings, if it
    has any.
    """

    corners: Floats
    sides: np.ndarray
    mirror: np.ndarray
    reflectance: Floats
    paint: Floats
    centre: Floats
    convex: bool = True
    closed: bool = True
    depth: Floats = NO_OPENINGS


def things(scene: Scene, kinds: np.ndarray, forms: Floats) -> tuple[Bodies, int]:
    """All bodies of a scene, and how many of them are balls: those come first, then their lines.

    kinds, forms: of the room's surfaces, as `cast` takes them.
    """
    found = [_ball(scene, number) for number in range(len(scene.balls))]
    roofs = [_above(kinds, forms, ball) for ball in scene.balls]
    for ball, roof in zip(scene.balls, roofs, strict=True):
        start = ball.centre + np.array([0.0, 0.0, _top_of(ball.body)])
        found.append(_rod(start, _hook(ball, roof), LINE, 4, DARK))
    for ball, roof in zip(scene.balls, roofs, strict=True):
        if roof[2] - _hook(ball, roof)[2] > BEAM:
            found.append(_rod(_hook(ball, roof), roof, 2.0 * LINE, 4, DARK))
    for lamp in scene.lamps:
        axis = lamp.frame[2]
        back = lamp.position - axis * CAN_LENGTH * lamp.lens_radius
        front = lamp.position - axis * 0.1 * lamp.lens_radius
        found.append(_rod(back, front, CAN_WIDTH * lamp.lens_radius, 20, DARK, closed=True))
        under = back - np.array([0.0, 0.0, CAN_WIDTH * lamp.lens_radius])
        if under[2] > 0.05:
            foot = np.array([under[0], under[1], 0.0])
            found.append(_rod(foot, under, STAND, 8, DARK))
    room = scene.room
    if room.pole > 0.0:
        found.append(_rod(np.zeros(3), np.array([0, 0, room.height]), room.pole, 24, WOOD))
    return joined(found, scene.cache, len(scene.balls)), len(scene.balls)


def _above(kinds: np.ndarray, forms: Floats, ball: Ball) -> Floats:
    """What is straight above a ball."""
    _, top, _ = cast_all(kinds, forms, ball.centre[None], np.array([[0.0, 0.0, 1.0]]))
    return top[0]


def _hook(ball: Ball, roof: Floats) -> Floats:
    return ball.hook if ball.hook[2] < roof[2] - BEAM else roof


def stances_of(bodies: Bodies, pose: Pose) -> Floats:
    """How all bodies stand in a pose: (b, 12) float, as the kernels take it.

    The balls come first, then the line of each, which leans with it and does not turn.
    """
    standing, balls = at_rest(bodies), pose.scene.balls
    standing[: len(balls)] = stances(pose.rotations, pose.centres)
    for number, (ball, lean) in enumerate(zip(balls, pose.leans, strict=True)):
        if ball.swing is not None:
            line = len(balls) + number
            leaning = ball.swing.rotation(lean)
            middle = ball.hook + leaning @ (bodies.centre[line] - ball.hook)
            standing[line] = stances(leaning[None], middle[None])[0]
    return standing


def sweep_of(scene: Scene, bodies: Bodies) -> list[Floats]:
    """How each body stands at places that its whole path is nowhere far from: (k, 12) float each,
    of those that stay where they are one."""
    still = at_rest(bodies)
    swept = [still[b : b + 1] for b in range(len(still))]
    for number, ball in enumerate(scene.balls):
        if ball.swing is None:
            continue
        leans = np.linspace(-ball.swing.amplitude, ball.swing.amplitude, MOMENTS)
        turns = np.array([ball.swing.rotation(float(lean)) for lean in leans])
        for body in (number, len(scene.balls) + number):
            away = bodies.centre[body] - ball.hook
            swept[body] = stances(turns, ball.hook + turns @ away)
    return swept


def _top_of(body) -> float:
    near = np.hypot(body.panel_corners[..., 0], body.panel_corners[..., 1]) < 0.5 * body.radius
    return float(body.panel_corners[..., 2][near].max(initial=0.0))


def _ball(scene: Scene, number: int) -> Thing:
    """A ball's tiles and panels; if a string shines in it, the openings as well, and of the panels
    what those leave."""
    ball = scene.balls[number]
    inside = next((one for one in lighting_of(scene).cavities if one.ball == number), None)
    key = ("thing", number, Same(scene.still_polygons), ball.tile, Same(inside))
    thing = scene.cache.get(key, lambda: _thing(scene, number, inside))
    return thing._replace(centre=ball.centre)


def _thing(scene: Scene, number: int, inside: LedCavity | None) -> Thing:
    still, ball = scene.still_polygons, scene.balls[number]
    depth = NO_OPENINGS
    if inside is None:
        mine = still.ball == number
        corners, sides, mirror = still.corners[mine], still.sides[mine], still.mirror[mine]
    else:
        (corners, sides), mirror, depth = open_ball(inside, ball)
    colour = hex_to_linear_rgb(ball.tile.panel_colour)
    return Thing(
        corners,
        sides,
        mirror,
        np.where(mirror, ball.reflectance, 0.0),
        np.broadcast_to(colour, (len(sides), 3)),
        ball.centre,
        ball.body.convex,
        ball.body.closed and inside is None,
        depth,
    )


def _rod(
    first: Floats, last: Floats, radius: float, sides: int, paint: Floats, closed: bool = False
) -> Thing:
    """A round rod from one point to another, of flat sides; in pieces, so that its image in a
    fisheye's view can be found from its corners."""
    axis = last - first
    length = float(np.linalg.norm(axis))
    axis = axis / length
    across, other, _ = frame_along(axis)
    turns = 2.0 * math.pi * np.arange(sides) / sides
    ring = radius * (np.outer(np.cos(turns), across) + np.outer(np.sin(turns), other))
    middle = (first + last) / 2.0
    pieces = 1 if closed else 12
    steps = np.linspace(-0.5, 0.5, pieces + 1)[:, None, None] * length * axis + ring
    nexts = np.roll(steps, -1, axis=1)
    quads = np.stack([steps[:-1], nexts[:-1], nexts[1:], steps[1:]], axis=2).reshape(-1, 4, 3)
    if closed:
        ends = []
        for level, order in ((steps[0], -1), (steps[-1], 1)):
            hub = level.mean(axis=0)
            for i in range(sides):
                pair = [level[i], level[(i + 1) % sides]][::order]
                ends.append([hub, *pair, pair[-1]])
        quads = np.concatenate([quads, np.array(ends)])
    number = len(quads)
    count = np.full(number, 4)
    if closed:
        count[-2 * sides :] = 3
    return Thing(
        quads,
        count,
        np.zeros(number, bool),
        np.zeros(number),
        np.broadcast_to(paint, (number, 3)),
        middle,
    )


def _slender(points: Floats, radius: float) -> tuple[Floats, float]:
    """The axis (3,) of points about the origin, and how far they are from it at most, m; or nothing
    but zeros where that is not far less than the radius of all."""
    axis = np.linalg.svd(points, full_matrices=False)[2][0]
    girth = float(np.linalg.norm(np.cross(points, axis), axis=1).max()) * (1.0 + 1e-9)
    return (axis, girth) if girth < 0.5 * radius else (np.zeros(3), 0.0)


class Grown(NamedTuple):
    """One body with its tree, its polygons in the order of the leaves.

    parts: corners, sides, normals, mirror, reflectance, paint, depth, and faces as rays meet them
    boxes, children: of the tree, as if it were the only body; whole: radius, axis and girth
    """

    parts: tuple[np.ndarray, ...]
    boxes: Floats
    children: np.ndarray
    whole: tuple[float, Floats, float]


def _grown(thing: Thing, widest: int) -> Grown:
    """A body's tree; widest: most corners of any polygon of all bodies."""
    wide = widest - thing.corners.shape[1]
    corners = np.pad(thing.corners, ((0, 0), (0, wide), (0, 0)), mode="edge")
    boxes, children, order = tree(corners.min(axis=1), corners.max(axis=1))
    corners, sides = corners[order], thing.sides[order].astype(np.int64)
    solid = len(corners) - len(thing.depth)
    depth = np.concatenate([np.full(solid, -1.0), thing.depth])
    across = normals(Faces(corners, sides))
    parts = (
        corners,
        sides,
        across,
        thing.mirror[order],
        thing.reflectance[order],
        thing.paint[order].astype(float),
        depth[order],
        faces_of(corners, sides, across),
    )
    radius = float(np.linalg.norm(corners, axis=2).max()) * (1.0 + 1e-9)
    return Grown(parts, boxes, children, (radius, *_slender(corners.reshape(-1, 3), radius)))


def joined(found: list[Thing], cache: SharedCache | None = None, kept: int = 0) -> Bodies:
    """One set of arrays, each body's polygons in the order of its tree's leaves.

    cache: where the trees of the first `kept` bodies are found again that other scenes had.
    """
    widest = max(thing.corners.shape[1] for thing in found)
    columns: list[list[np.ndarray]] = [[] for _ in range(11)]
    radius, whole = [], []
    nodes = polygons = 0
    for thing in found:
        if cache is not None and len(radius) < kept:
            key = ("tree", Same(thing.corners), widest)
            parts, boxes, children, whole_of = cache.get(key, partial(_grown, thing, widest))
        else:
            parts, boxes, children, whole_of = _grown(thing, widest)
        children = children.copy()
        leaf = children[:, 0] < 0
        children[leaf, 0] -= polygons
        children[~leaf] += nodes
        number = np.full(len(parts[0]), len(radius))
        for column, part in zip(
            columns, (*parts[:-1], number, parts[-1], boxes, children), strict=True
        ):
            column.append(part)
        radius.append(whole_of[0])
        whole.append([nodes, whole_of[0], *whole_of[1], whole_of[2]])
        nodes += len(boxes)
        polygons += len(parts[0])
    *together, face, box, child = (np.ascontiguousarray(np.concatenate(c)) for c in columns)
    corners, sides, across, mirror, reflectance, _, _, body = together
    convex = np.array([thing.convex for thing in found])
    closed = np.array([thing.closed for thing in found])
    shapes = Polygons(corners, sides, across, reflectance, mirror, body)
    occluders = occluder_lists(shapes, convex, closed=closed)
    solid = solid_of(face, box, child, np.array(whole), shapes, occluders)
    centres = np.array([thing.centre for thing in found], float)
    dark = np.zeros((len(found), 3))
    return Bodies._make([*together, dark, centres, np.array(radius), solid])
