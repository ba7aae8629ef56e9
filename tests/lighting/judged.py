"""A scene as the photon tracer is told it: its lamps by their own formulae, its room, its balls."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

import numpy as np

from glint.build.export import export
from tests.judge import Geometry, Lamp, Room, read_glb


def lamp(scene, number: int = 0) -> Lamp:
    """A lamp given by its angles: half its peak at the beam angle, a tenth at the field angle."""
    table = scene.source.lamp[number]
    hung = {ball.name: (*ball.hang.at_m, ball.hang.height_m) for ball in scene.source.ball}
    aim = hung[table.aim] if isinstance(table.aim, str) else table.aim
    beam, field = math.radians(table.beam_deg), math.radians(table.field_deg)
    power = math.log(math.log(10) / math.log(2)) / math.log(field / beam)
    return Lamp(
        tuple(table.at_m),
        tuple(np.subtract(aim, table.at_m)),
        table.lens_mm / 2000,
        lambda gamma: table.peak_cd * np.exp(-math.log(2) * (2 * gamma / beam) ** power),
        reach=min(0.5 * beam * (math.log(1e6) / math.log(2)) ** (1 / power), math.pi / 2),
    )


def room(scene) -> Room:
    """The dome on its wall."""
    return Room(scene.source.room.radius_m, scene.source.room.rise_m, scene.source.room.wall_m)


def geometry(pose) -> Geometry:
    """The tiles and panels of a pose, read from its export."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pose.glb"
        export(pose, path)
        return read_glb(path)
