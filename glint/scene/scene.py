"""The assembled scene: what hangs, shines and stands, and where all of it is at one instant."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np

from glint.kernels.arrays import Floats, Polygons
from glint.kernels.geometry.rigid_transform import stand
from glint.photometry.leds import Leds
from glint.photometry.luminaire import Lamp
from glint.room.room import Room
from glint.scene.ball import Ball
from glint.schema.tables import SceneFile
from glint.shape.openings import HOLE_CORNERS, plugs


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that does not move, and how the rest does."""

    file: SceneFile
    room: Room
    balls: tuple[Ball, ...]
    lamps: tuple[Lamp, ...]
    strings: tuple[Leds, ...] = ()

    @cached_property
    def memory(self) -> dict[str, Any]:
        """What later stages worked out for this scene and want to find again."""
        return {}

    def at(self, *, degrees: float | None = None, seconds: float | None = None) -> Pose:
        """The pose when the first ball has turned by some degrees, or after some seconds.

        Swings and twists are as at the moment when it has; at second 0 where it does not turn
        steadily.
        """
        if (degrees is None) == (seconds is None):
            raise TypeError("at() takes either degrees or seconds")
        balls = self.balls
        if seconds is None:
            turned = math.radians(degrees or 0.0)
            first = balls[0].turning
            ratios = [ball.turning / first if first else 1.0 for ball in balls]
            angles = [ball.phase + turned * r for ball, r in zip(balls, ratios, strict=True)]
            seconds = turned / first if first else 0.0
        else:
            angles = [ball.phase + ball.turning * seconds for ball in balls]
        twists = [ball.twisted(seconds) for ball in balls]
        return Pose(self, tuple(a + t for a, t in zip(angles, twists, strict=True)), seconds)

    def poses(self, times: Iterable[Fraction]) -> list[Pose]:
        """The poses at some moments, s."""
        return [self.at(seconds=float(time)) for time in times]

    @cached_property
    def still_polygons(self) -> Polygons:
        """All panels and tiles with every ball at angle 0; each ball's tiles, then its panels, then
        what stands for the holes drilled in its tiles: light that falls on them is lost."""
        parts = [_polygons_of(ball, number) for number, ball in enumerate(self.balls)]
        widest = max(part.corners.shape[1] for part in parts)
        corners = [
            np.pad(p.corners, ((0, 0), (0, widest - p.corners.shape[1]), (0, 0)), mode="edge")
            for p in parts
        ]
        rest = [np.concatenate(column) for column in zip(*(p[1:] for p in parts), strict=True)]
        return Polygons(np.concatenate(corners), *rest)

    @cached_property
    def fastest_spot(self) -> float:
        """How fast spots move at most where light falls straight onto a surface, m/s.

        A mirror turned by a turns its beam by 2 a: a spot moves at 2 omega times its distance at
        most. Where light falls aslant a spot is that much faster, and as much longer and softer.
        That a swing carries the ball along as well is left out.
        """
        reaches = [max(self.room.furthest(b.centre), b.body.radius) for b in self.balls]
        return max(2.0 * b.fastest * r for b, r in zip(self.balls, reaches, strict=True))


@dataclass(frozen=True, eq=False)
class Pose:
    """A scene with every ball turned about its cord by its angle, and every cord leaning; rad.

    seconds: the moment
    """

    scene: Scene
    angles: tuple[float, ...]
    seconds: float = 0.0

    @cached_property
    def leans(self) -> tuple[float, ...]:
        """How far each cord leans, rad."""
        return tuple(ball.lean(self.seconds) for ball in self.scene.balls)

    @cached_property
    def _stances(self) -> tuple[Floats, Floats]:
        rows = zip(self.scene.balls, self.angles, self.leans, strict=True)
        rotations, centres = zip(*(b.stance(angle, lean) for b, angle, lean in rows), strict=True)
        return np.array(rotations), np.array(centres)

    @property
    def rotations(self) -> Floats:
        """From each ball's frame to the room's: (b, 3, 3) float."""
        return self._stances[0]

    @property
    def centres(self) -> Floats:
        """Each ball's centre, m: (b, 3) float."""
        return self._stances[1]

    @cached_property
    def polygons(self) -> Polygons:
        """All panels and tiles in the room's frame, in the order of Scene.still_polygons."""
        still = self.scene.still_polygons
        corners, normals = np.empty_like(still.corners), np.empty_like(still.normals)
        ends = np.searchsorted(still.ball, np.arange(len(self.angles) + 1))
        for b, (turn, centre) in enumerate(zip(self.rotations, self.centres, strict=True)):
            first, last = ends[b], ends[b + 1]
            stand(still.corners, still.normals, turn, centre, first, last, corners, normals)
        return still._replace(corners=corners, normals=normals)


def _polygons_of(ball: Ball, number: int) -> Polygons:
    body = ball.body
    widest = max(body.tile_corners.shape[1], body.panel_corners.shape[1])

    def widened(corners: Floats) -> Floats:
        missing = widest - corners.shape[1]
        return np.pad(corners, ((0, 0), (0, missing), (0, 0)), mode="edge")

    parts, counts = [body.tile_corners, body.panel_corners], [body.tile_sides, body.panel_sides]
    if ball.hole > 0.0:
        parts.append(plugs(body.tiles, ball.hole))
        counts.append(np.full(len(parts[-1]), HOLE_CORNERS))
        widest = max(widest, HOLE_CORNERS)
    corners = np.concatenate([widened(part) for part in parts])
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    mirror = np.arange(len(corners)) < len(body.tile_corners)
    return Polygons(
        corners=corners,
        sides=np.concatenate(counts).astype(np.int64),
        normals=normals,
        reflectance=np.where(mirror, ball.reflectance, 0.0),
        mirror=mirror,
        ball=np.full(len(corners), number, np.int64),
    )
