"""From checked tables to the parts of a scene: its room, balls, lamps and strings."""

from __future__ import annotations

import hashlib
import math
from typing import NamedTuple

import numpy as np

from glint.errors import Problem, SceneError, TableError, in_words, place, problem_of
from glint.files.read import MESH_LIMIT, FileError, read_named_file
from glint.photometry.leds import Leds
from glint.photometry.luminaire import Lamp, build_lamp
from glint.room.room import Room
from glint.scene.ball import Ball
from glint.scene.cache import SharedCache
from glint.scene.clearance import ball_problems, meeting_problems, nearest_to
from glint.scene.led_layout import lay_strings
from glint.scene.pendulum import Swing
from glint.scene.room import build_room
from glint.scene.torsion import Twist
from glint.schema.tables import BallTable, SceneFile
from glint.shape.body import Body, build_body
from glint.shape.hold import hold_of

MOST_TILES = 300_000
MOST_PAIRS = 4_000_000
"""Tiles of all balls, and of these times lamps: each pair may give a beam, which takes memory."""

MOST_PLANES = 20_000
"""Planes of candela of all lamps, 32 KiB each."""


class Parts(NamedTuple):
    """What a scene is made of."""

    room: Room
    balls: tuple[Ball, ...]
    lamps: tuple[Lamp, ...]
    strings: tuple[Leds, ...]


def assemble(file: SceneFile, cache: SharedCache) -> Parts:
    """The parts of a scene. Raises SceneError.

    cache: where a room and bodies are found again that other scenes had.
    """
    room = cache.get(("room", file.room), lambda: build_room(file.room))
    problems: list[Problem] = []
    balls, tiles = [], 0
    for number, row in enumerate(file.ball):
        try:
            ball = _hang(row, file, cache)
        except TableError as error:
            problems.append(problem_of(("ball", number), error))
            continue
        problems += ball_problems(number, row, ball, room)
        roof = file.room.ceiling(math.hypot(*row.hang.at_m))
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
        shown = in_words(row.at_m)
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
    strings = lay_strings(file, balls, cache)
    return Parts(room, tuple(balls), tuple(lamps), strings)


def _too_many(ball: int, tiles: int, lamps: int) -> Problem:
    found = f"a ball that makes it {tiles} tiles in all, and {lamps} lamps"
    allowed = f"at most {min(MOST_TILES, MOST_PAIRS // lamps)} tiles in all among so many lamps"
    return Problem(place(("ball", ball)), found, allowed)


def _body(row: BallTable, file: SceneFile, cache: SharedCache) -> Body:
    content = b""
    if row.shape.mesh is not None:
        try:
            content = read_named_file(file.folder, row.shape.mesh, MESH_LIMIT)
        except FileError:
            content = b""  # told by who builds it
    digest = hashlib.blake2b(content).digest()
    key = ("body", row.shape, row.tile, row.hang.by, row.hang.sides, file.folder, digest)
    return cache.get(key, lambda: build_body(row.shape, row.tile, row.hang, file.folder))


def _hang(row: BallTable, file: SceneFile, cache: SharedCache) -> Ball:
    body = _body(row, file, cache)
    centre = np.array([*row.hang.at_m, row.hang.height_m], float)
    overhead = file.room.ceiling(math.hypot(*row.hang.at_m))
    hook = np.array([*centre[:2], overhead])
    motion, cord = row.motion, row.hang.cord_m
    if motion.swing_deg is not None and cord is None:
        cord = file.workshop.cord_m
    if cord is not None:
        hook[2] = centre[2] + max(hold_of(body).height, 0.0) + cord
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
        shape=row.shape,
        tile=row.tile,
        hang=row.hang,
        motion=row.motion,
        overhead=overhead,
    )
