"""A ball by itself, twice: by daylight in a pale studio, and from near by in its own room."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.lighting.illumination import light
from glint.render.eye.view import EyeView
from glint.render.tone.mapping import to_picture
from glint.scene.build import build
from glint.scene.scene import Pose, Scene
from glint.schema.read import scene_of
from glint.schema.tables import EyeTable, HangTable, MotionTable, SceneFile

STUDIO = 20.0
"""Radius of the studio, in radii of the ball: its walls are far away in every mirror."""

LEAST_STUDIO = 1.0
"""Radius of the smallest studio, m."""

DAYLIGHT = 0.0036
"""Exposure of the studio, whose luminances do not depend on its size."""

NEAR = 5.0
"""Where the eye is, in radii of the ball from its middle: little perspective."""

BESIDE = (55.0, -55.0, 80.0, -80.0, 120.0, -120.0, 20.0, -20.0)
"""Degrees round from the lamp where the eye may be, best first."""

BELOW = math.radians(20.0)
"""How far below the ball the eye looks up to it from."""

FREE = 0.05
"""Metres that the eye keeps from what is around it."""

STUDIO_TEXELS, TEXELS = 96, 384
SAMPLES = 8


def by_day(scene: Scene, size: int) -> NDArray[np.uint8]:
    """The first ball in a white dome over a dark floor, lit from two sides: (size, size, 3).

    The mirrors are true ones: they show the studio, the panels and each other.
    """
    ball = scene.balls[0]
    room = max(STUDIO * ball.body.radius, LEAST_STUDIO)
    middle = np.array([0.0, 0.0, 0.5 * room])
    studio = _studio(room, scene.source.path)
    hang = HangTable.model_validate(
        {
            "height_m": float(middle[2]),
            "at_m": (0.0, 0.0),
            "by": ball.hang.by,
            "sides": ball.hang.sides,
        }
    )
    still = MotionTable.model_validate({"rpm": 0.0})
    hung = scene.source.ball[0].model_copy(update={"hang": hang, "motion": still})
    eye = middle + NEAR * ball.body.radius * _direction(math.radians(-75.0), 0.6 * BELOW)
    file = studio.replaced(ball=(hung,), eye=_eye(eye, middle, NEAR, 0.0))
    pose = build(file).at(degrees=0.0)
    seen = EyeView(pose.scene, (size, size), STUDIO_TEXELS, SAMPLES)
    return to_picture(seen.frame(pose, light(pose, STUDIO_TEXELS)), DAYLIGHT)


def in_its_light(scene: Scene, size: int) -> NDArray[np.float32]:
    """The first ball in its own room and light, from near by: luminance (size, size, 3), cd/m**2.

    The eye is beside the way from the first lamp and a little below, where the room leaves space.
    """
    first = scene.at(degrees=0.0)
    corners = first.polygons.corners[first.polygons.ball == 0].reshape(-1, 3)
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    eye, near = _free_place(first, middle)
    file = scene.source.replaced(eye=_eye(eye, middle, near, 0.1))
    pose = Scene.of(file, scene.cache).at(degrees=0.0)
    view = EyeView(pose.scene, (size, size), TEXELS, SAMPLES)
    return view.frame(pose, light(pose, TEXELS))


def _free_place(pose: Pose, middle: Floats) -> tuple[Floats, float]:
    """Where the eye may be, m, and how many radii of the ball that is away from its middle."""
    scene = pose.scene
    radius = scene.balls[0].body.radius
    # Without a lamp, from where a guest stands.
    light = scene.lamps[0].position - middle if scene.lamps else np.array([0.0, -1.0, 0.0])
    towards = math.atan2(light[1], light[0])
    for near in (NEAR, 4.0, 3.0, 2.2, 1.6):
        for beside in BESIDE:
            direction = _direction(towards + math.radians(beside), BELOW)
            place = middle + near * radius * direction
            if _is_free(pose, place, middle):
                return place, near
    return middle + 1.3 * radius * _direction(towards + math.radians(BESIDE[0]), 0.0), 1.3


def _is_free(pose: Pose, place: Floats, middle: Floats) -> bool:
    """Whether the eye is inside the room, and nothing is between it and the ball's middle."""
    scene = pose.scene
    if scene.room.clearance(place) < FREE:
        return False
    things = [(lamp.position, lamp.lens_radius + FREE) for lamp in scene.lamps]
    things += [(ball.centre, ball.body.radius + FREE) for ball in scene.balls[1:]]
    if any(_apart(place, middle, np.asarray(where)) < reach for where, reach in things):
        return False
    if scene.room.pole == 0.0:
        return True
    level = np.array([1.0, 1.0, 0.0])
    return _apart(place * level, middle * level, np.zeros(3)) > scene.room.pole + FREE


def _apart(start: Floats, end: Floats, point: Floats) -> float:
    """Distance of a point from the straight line between two others, m."""
    along = end - start
    share = np.clip((point - start) @ along / max(along @ along, 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(point - start - share * along))


def _eye(place: Floats, middle: Floats, near: float, glare: float) -> EyeTable:
    """An eye that sees a ball `near` radii away with a little space round it."""
    wide = 2.0 * math.degrees(math.atan(1.06 / math.sqrt(near**2 - 1.0)))
    return EyeTable.model_validate(
        {
            "at_m": [float(v) for v in place],
            "look_m": [float(v) for v in middle],
            "fov_deg": max(wide, 5.0),
            "glare": glare,
        }
    )


def _direction(azimuth: float, below: float) -> Floats:
    level = math.cos(below)
    return np.array([level * math.cos(azimuth), level * math.sin(azimuth), -math.sin(below)])


def _studio(room: float, path: Path) -> SceneFile:
    """A white dome of this radius, m, and two lamps that light its walls and not the ball; path: as
    if it came from there."""
    lamp = {"lens_mm": 50.0, "colour": "#ffffff"}
    right = {"at_m": [0.75, -0.3, 0.1], "aim": [-0.1, -0.3, 1.0], "beam_deg": 70.0}
    left = {"at_m": [-0.6, -0.5, 0.2], "aim": [-0.9, -0.3, 0.5], "beam_deg": 60.0}
    lamps = [
        {
            **lamp,
            "at_m": [room * v for v in side["at_m"]],
            "aim": [room * v for v in side["aim"]],
            "beam_deg": side["beam_deg"],
            "field_deg": side["beam_deg"] + 50.0,
            "lumens": lumens * room**2,
        }
        for side, lumens in ((right, 3000.0), (left, 900.0))
    ]
    tables = {
        "room": {
            "radius_m": room,
            "reflectance": 0.8,
            "fabric_colour": "#eef3fb",
            "floor_reflectance": 0.12,
            "floor_colour": "#ffffff",
            "ambient_lux": 60.0,
        },
        "ball": [{"shape": {"base": "cube"}, "hang": {"height_m": 0.5 * room}}],
        "lamp": lamps,
    }
    return scene_of(tables, path)
