"""A scene file built: balls hung, lamps aimed, the room put up."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path

import numpy as np

from glint.errors import Problem, SceneError, TableError, place, problem_of
from glint.kernels.arrays import NO_LAMPS, Floats, Lamps, OccluderLists, Polygons
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.surfaces.texel_tree import TexelTree, texel_tree
from glint.lighting.led_cavity import LedCavity, led_cavity
from glint.lighting.shadows import inner_radius
from glint.photometry.intensity_table import smoothed
from glint.photometry.leds import Leds
from glint.photometry.luminaire import Lamp, build_lamp
from glint.room.build import build_room
from glint.room.charts import chart_of
from glint.room.room import Room
from glint.room.surface import Surface
from glint.scene.ball import Ball
from glint.scene.clearance import ball_problems, meeting_problems, nearest_to
from glint.scene.led_layout import lay_strings
from glint.scene.pendulum import Swing
from glint.scene.pose import Pose
from glint.scene.torsion import Twist
from glint.schema.defaults import ceiling_height
from glint.schema.read import read_scene
from glint.schema.tables import BallTable, SceneFile
from glint.shape.body import build_body
from glint.shape.hold import hold_of
from glint.shape.openings import HOLE_CORNERS, plugs

MOST_TILES = 300_000
MOST_PAIRS = 4_000_000
"""Tiles of all balls, and of these times lamps: each pair may give a beam, which takes memory."""

MOST_PLANES = 20_000
"""Planes of candela of all lamps, 32 KiB each."""


@dataclass(frozen=True)
class Scene:
    """Everything that does not move, and how the rest does."""

    file: SceneFile
    room: Room
    balls: tuple[Ball, ...]
    lamps: tuple[Lamp, ...]
    strings: tuple[Leds, ...] = ()

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
    def occluders(self) -> OccluderLists:
        """Which panels and tiles can stand in each tile's way; the same in every pose.

        Raises SceneError where that takes more memory than anybody has.
        """
        # Tiles that sit askew may overlook each other on a convex body too, as may plugs of holes.
        convex = [
            ball.body.convex and row.tile.tilt_sd_deg == 0.0 and ball.hole == 0.0
            for ball, row in zip(self.balls, self.file.ball, strict=True)
        ]
        try:
            return occluder_lists(self.still_polygons, np.array(convex))
        except OverflowError:
            tiles = sum(len(ball.body.tile_sides) for ball in self.balls)
            found = f"{tiles} tiles on bodies so rugged that most of them overlook each other"
            problem = Problem("[[ball]]", found, "fewer tiles or balls, or less tilt_sd_deg")
            raise SceneError(str(self.file.path), [problem]) from None

    @cached_property
    def inner_radii(self) -> tuple[float, ...]:
        """For each ball, the sphere that its silhouette is sought beyond, m; see `inner_radius`."""
        return tuple(inner_radius(ball.body) for ball in self.balls)

    @cached_property
    def fastest_spot(self) -> float:
        """How fast spots move at most where light falls straight onto a surface, m/s.

        A mirror turned by a turns its beam by 2 a: a spot moves at 2 omega times its distance at
        most. Where light falls aslant a spot is that much faster, and as much longer and softer.
        That a swing carries the ball along as well is left out.
        """
        reaches = [max(self.room.furthest(b.centre), b.body.radius) for b in self.balls]
        return max(2.0 * b.fastest * r for b, r in zip(self.balls, reaches, strict=True))

    @cached_property
    def cavities(self) -> tuple[LedCavity, ...]:
        """What shines inside the balls that have strings, one each."""
        lit = sorted({string.ball for string in self.strings})
        return tuple(led_cavity(self, ball) for ball in lit)

    @cached_property
    def _texel_trees(self) -> dict[tuple[str, int], TexelTree]:
        return {}

    def blocks(self, surface: Surface, texels: int) -> TexelTree:
        """A surface's blocks at a resolution, kept from the first time on."""
        key = (surface.name, texels)
        if key not in self._texel_trees:
            self._texel_trees[key] = texel_tree(chart_of(surface, texels))
        return self._texel_trees[key]

    @cached_property
    def lamp_arrays(self) -> Lamps:
        """The lamps as the kernels take them."""
        if not self.lamps:
            return NO_LAMPS
        nearest = [
            min(float(np.linalg.norm(b.centre - lamp.position)) for b in self.balls)
            for lamp in self.lamps
        ]
        planes = np.array([len(lamp.intensity.candela) for lamp in self.lamps], np.int64)
        columns = self.lamps[0].intensity.candela.shape[1]
        candela = np.zeros((len(self.lamps), planes.max(), columns))
        spread = np.zeros_like(candela)
        kept: dict[tuple[bytes, float, float], Floats] = {}
        for row, (lamp, distance) in enumerate(zip(self.lamps, nearest, strict=True)):
            candela[row, : planes[row]] = lamp.intensity.candela
            angle = lamp.lens_radius / distance
            alike = (lamp.intensity.candela.tobytes(), lamp.intensity.s_end, angle)
            if alike not in kept:
                kept[alike] = smoothed(lamp.intensity, angle)
            spread[row, : planes[row]] = kept[alike]
        return Lamps(
            position=np.array([lamp.position for lamp in self.lamps]),
            frame=np.array([lamp.frame for lamp in self.lamps]),
            lens_radius=np.array([lamp.lens_radius for lamp in self.lamps]),
            colour=np.array([lamp.colour for lamp in self.lamps]),
            lumens=np.array([lamp.lumens for lamp in self.lamps]),
            candela=candela,
            spread=spread,
            planes=planes,
            sine_end=np.array([lamp.intensity.s_end for lamp in self.lamps]),
            sphere=np.zeros(len(self.lamps)),
        )


def load(path: str | Path) -> Scene:
    """Read and build a scene file. Raises SceneError with every problem found."""
    return build(read_scene(path))


def build(file: SceneFile) -> Scene:
    """Build a scene: its bodies, its lamps and its room. Raises SceneError."""
    room = build_room(file.room)
    problems: list[Problem] = []
    balls, tiles = [], 0
    for number, row in enumerate(file.ball):
        try:
            ball = _hang(row, file)
        except TableError as error:
            problems.append(problem_of(("ball", number), error))
            continue
        problems += ball_problems(number, row, ball, room)
        roof = ceiling_height(file.room, math.hypot(*row.hang.at_m))
        if ball.hook[2] > roof + 1e-9:
            given = row.hang.cord_m is not None
            path = ("ball", number, "hang", "cord_m") if given else ("workshop", "cord_m")
            found = f"a cord whose hook would be {ball.hook[2]:.3f} m high"
            problems.append(Problem(place(path), found, f"one that ends overhead, at {roof:.3f} m"))
        balls.append(ball)
        tiles += len(ball.body.tile_sides)
        if tiles * len(file.lamp) > MOST_PAIRS or tiles > MOST_TILES:
            problems.append(_too_many(number, tiles, len(file.lamp)))
            break
    problems += meeting_problems(balls)
    if problems:
        raise SceneError(str(file.path), problems)
    centres = {ball.name: ball.centre for ball in balls}
    lamps = []
    for number, row in enumerate(file.lamp):
        position = np.array(row.at_m, float)
        where = place(("lamp", number, "at_m"))
        shown = f"[{', '.join(f'{value:g}' for value in row.at_m)}]"
        if room.clearance(position) <= 0.0 or math.hypot(*position[:2]) < room.pole:
            problems.append(Problem(where, shown, "a point inside the room"))
        for ball in balls:
            if nearest_to(ball, position) <= ball.body.radius + row.lens_mm / 2000.0:
                problems.append(Problem(where, shown, f'a point outside the ball "{ball.name}"'))
        aim = centres[row.aim] if isinstance(row.aim, str) else np.array(row.aim, float)
        try:
            lamps.append(build_lamp(row, position, aim, file.folder))
        except TableError as error:
            problems.append(problem_of(("lamp", number), error))
            continue
        planes = len(lamps[-1].intensity.candela)
        if planes * len(file.lamp) > MOST_PLANES:
            # Every lamp's table is as large as the largest; no more of them are read.
            found = f"{planes} planes of candela, among {len(file.lamp)} lamps"
            allowed = f"at most {MOST_PLANES // len(file.lamp)} planes among so many lamps"
            problems.append(Problem(place(("lamp", number, "file")), found, allowed))
            break
    if problems:
        raise SceneError(str(file.path), problems)
    strings = lay_strings(file, balls)
    return Scene(file, room, tuple(balls), tuple(lamps), strings)


def _too_many(ball: int, tiles: int, lamps: int) -> Problem:
    found = f"a ball that makes it {tiles} tiles in all, and {lamps} lamps"
    allowed = f"at most {min(MOST_TILES, MOST_PAIRS // lamps)} tiles in all among so many lamps"
    return Problem(place(("ball", ball)), found, allowed)


def _hang(row: BallTable, file: SceneFile) -> Ball:
    body = build_body(row.shape, row.tile, row.hang, file.folder)
    centre = np.array([*row.hang.at_m, row.hang.height_m], float)
    hook = np.array([*centre[:2], ceiling_height(file.room, math.hypot(*row.hang.at_m))])
    motion, cord = row.motion, row.hang.cord_m
    if motion.swing_deg is not None and cord is None:
        cord = file.workshop.cord_m
    if cord is not None:
        hook[2] = centre[2] + max(hold_of(body)[0], 0.0) + cord
    swing = twist = None
    if motion.swing_deg is not None:
        swing = Swing(
            length=max(float(hook[2] - centre[2]), 1e-3),  # less if it hangs outside: told later
            amplitude=math.radians(motion.swing_deg),
            towards=math.radians(motion.swing_towards_deg or 0.0),
            phase=math.radians(motion.swing_phase_deg or 0.0),
        )
    if motion.twist_turns is not None and motion.twist_period_s is not None:
        twist = Twist(
            amplitude=2.0 * math.pi * motion.twist_turns,
            period=motion.twist_period_s,
            phase=math.radians(motion.twist_phase_deg or 0.0),
        )
    return Ball(
        name=row.name,
        body=body,
        centre=centre,
        hook=hook,
        turning=motion.rpm * 2.0 * math.pi / 60.0,
        phase=math.radians(motion.phase_deg),
        reflectance=row.tile.reflectance,
        hole=row.tile.hole_mm / 1000.0,
        swing=swing,
        twist=twist,
    )


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
