"""Balls with strings that the tests share, and the same told to the photon tracer."""

from __future__ import annotations

import numpy as np

from glint.lighting.prepared import lighting_of
from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of
from tests.judge import Geometry

LANTERN = {
    "base": "rhombicosidodecahedron",
    "steps": [{"do": "open", "sides": 5}, {"do": "raise", "sides": 5}],
}
SMALL = {"base": "cuboctahedron", "steps": [{"do": "open", "sides": 4}]}


def strung(shape: dict, tile: dict, string: dict | list[dict], **tables) -> Scene:
    """A ball in a dome of 4 m, with a string and no lamp."""
    strings = string if isinstance(string, list) else [string]
    ball = {"shape": shape, "hang": {"height_m": 2.4}} | tables.pop("ball", {})
    room = {"radius_m": 4.0, "ambient_lux": 0.0}
    return build(scene_of({"room": room, "tile": tile, "ball": [ball], "string": strings} | tables))


def geometry(scene: Scene, angle: float = 0.0) -> Geometry:
    """Tiles and what is left of the panels of the first ball with strings, in the room's frame."""
    inside = lighting_of(scene).cavities[0]
    polygons = inside.polygons
    solid = len(polygons.sides) - len(inside.openings.sides)
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    parts = []
    for mirror in (True, False):
        vertices, faces = [], []
        for j in np.flatnonzero(polygons.mirror[:solid] == mirror):
            first, sides = len(vertices), int(polygons.sides[j])
            vertices += list(polygons.corners[j, :sides] @ turn.T + inside.centre)
            faces += [(first, first + k, first + k + 1) for k in range(1, sides - 1)]
        parts.append((np.array(vertices), np.array(faces)))
    return Geometry(parts[0], parts[1])
