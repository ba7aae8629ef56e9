"""A ball by itself, in daylight: mirrors bright, panels dark."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from glint.optics.arrays import Floats, Polygons
from glint.rig.scene import Scene

FINER = 3
"""Drawn so many times larger, then made smaller: edges come out smooth."""

VIEW_FROM = math.radians(20.0)
"""Height of the eye over the level of the ball."""

SUN = np.array([0.45, -0.65, 0.61])

MIRROR = np.array([[52, 62, 78], [236, 242, 250]], float)
PANEL = np.array([[20, 22, 26], [74, 78, 86]], float)
GROUND = (245, 245, 243)


def portrait(scene: Scene, size: int) -> NDArray[np.uint8]:
    """The first ball seen from -y and a little above, without perspective: (size, size, 3) uint8.

    Panels and tiles are drawn from the farthest to the nearest.
    """
    polygons, ball = scene.still_polygons, scene.balls[0]
    mine = polygons.ball == 0
    towards = np.array([0.0, -math.cos(VIEW_FROM), math.sin(VIEW_FROM)])
    right, up = np.array([1.0, 0.0, 0.0]), np.array([0.0, math.sin(VIEW_FROM), math.cos(VIEW_FROM)])
    facing = mine & (polygons.normals @ towards > 0.0)
    # The insides of an open body are seen through its openings.
    drawn = np.flatnonzero(facing if ball.body.closed else mine)
    local = polygons.corners[drawn]
    depth = np.einsum("nvk,k->nv", local, towards).mean(axis=1)
    large = FINER * size
    scale = 0.46 * large / ball.body.radius
    across, above = local @ right * scale + 0.5 * large, 0.5 * large - local @ up * scale
    canvas = Image.new("RGB", (large, large), GROUND)
    pen = ImageDraw.Draw(canvas)
    colours = _colours(polygons, drawn, towards)
    for number in np.argsort(depth, kind="stable"):
        sides = int(polygons.sides[drawn[number]])
        outline = list(zip(across[number, :sides], above[number, :sides], strict=True))
        pen.polygon(outline, fill=tuple(int(c) for c in colours[number]))
    return np.asarray(canvas.resize((size, size), Image.Resampling.LANCZOS))


def _colours(polygons: Polygons, drawn: NDArray[np.intp], towards: Floats) -> Floats:
    """Shade of each polygon by the way it faces the sun; backs are as dark as panels go."""
    normal = polygons.normals[drawn]
    back = normal @ towards <= 0.0
    light = np.clip(0.5 + 0.5 * normal @ (SUN / np.linalg.norm(SUN)), 0.0, 1.0)[:, None]
    ends = np.where(polygons.mirror[drawn, None, None], MIRROR, PANEL)
    shade = ends[:, 0] + light * (ends[:, 1] - ends[:, 0])
    return np.where(back[:, None], 0.6 * PANEL[0], shade)
