"""Defaults that depend on other tables: names, heights, where lamps and eyes stand."""

from __future__ import annotations

import math

from glint.room.table import RoomTable
from glint.schema.raw import default_name
from glint.schema.tables import (
    BallTable,
    CandidateTable,
    EyeTable,
    HangTable,
    LampTable,
    MotionTable,
    SceneFile,
    ShapeTable,
    StringTable,
    TileTable,
    WorkshopTable,
)

HANGING_HEIGHT = 0.6  # of the room's height
LAMP_DISTANCE, LAMP_HEIGHT = 0.75, 1.6  # of the room's radius; metres, on a common lamp stand
EYE_DISTANCE, EYE_HEIGHT = 0.7, 1.2  # of the room's radius; metres, somebody on a chair
LOOK_DISTANCE = 0.125  # of the room's radius, beyond the middle
CLEARANCE = 0.8  # of the ceiling's height above a lamp or eye, in rooms too low for the above
PEAK_CANDELA = 20000.0
RPM = 1.5
KELVIN = 3200.0
STRING_KELVIN = 2700.0
FIELD_PER_BEAM = 1.7


def fill(scene: SceneFile) -> SceneFile:
    """The scene with every default in its place."""
    room = scene.room.filled()
    balls = tuple(_ball(ball, index, room, scene.tile) for index, ball in enumerate(scene.ball))
    # A string shines by itself: who wants a spotlight as well says so.
    lamps = scene.lamp or (() if scene.string else (LampTable(),))
    return scene.model_copy(
        update={
            "room": room,
            "ball": balls,
            "lamp": tuple(
                _lamp(lamp, index, len(lamps), room, balls[0]) for index, lamp in enumerate(lamps)
            ),
            "string": tuple(
                _string(string, index, balls[0]) for index, string in enumerate(scene.string)
            ),
            "eye": _eye(scene.eye, room),
            "candidate": tuple(
                _candidate(one, index, scene.tile) for index, one in enumerate(scene.candidate)
            ),
            "workshop": _workshop(scene.workshop, scene.tile),
        }
    )


def field_of(beam_deg: float) -> float:
    """The field angle of a beam, degrees, where none is given; a wide beam stays below 180."""
    return min(FIELD_PER_BEAM * beam_deg, 0.5 * (beam_deg + 180.0))


def _candidate(one: CandidateTable, index: int, tile: TileTable) -> CandidateTable:
    own = {key: getattr(one.tile, key) for key in one.tile.model_fields_set}
    has_opening = any(step.opens for step in one.shape.steps)
    by = ("opening" if has_opening else "vertex") if one.by is None else one.by
    name = default_name("candidate", index) if one.name is None else one.name
    filled = _tile(tile.model_copy(update=own), one.shape)
    return one.model_copy(update={"name": name, "tile": filled, "by": by})


def _tile(tile: TileTable, shape: ShapeTable) -> TileTable:
    return tile.model_copy(update={"recess_mm": shape.recess_of(tile)})


def _workshop(workshop: WorkshopTable, tile: TileTable) -> WorkshopTable:
    sizes = {"edge_mm": tile.edge_mm, "thickness_mm": tile.thickness_mm}
    owned = [
        one.model_copy(update={key: v for key, v in sizes.items() if getattr(one, key) is None})
        for one in workshop.owned
    ]
    return workshop.model_copy(update={"owned": tuple(owned)})


def _ball(ball: BallTable, index: int, room: RoomTable, tile: TileTable) -> BallTable:
    own = {key: getattr(ball.tile, key) for key in ball.tile.model_fields_set}
    return ball.model_copy(
        update={
            "name": default_name("ball", index) if ball.name is None else ball.name,
            "tile": _tile(tile.model_copy(update=own), ball.shape),
            "hang": _hang(ball, room),
            "motion": _motion(ball.motion),
        }
    )


def _motion(motion: MotionTable) -> MotionTable:
    update: dict[str, object] = {}
    if motion.rpm is None:
        update["rpm"] = RPM if motion.twist_turns is None else 0.0
    if motion.swing_deg is not None:
        update["swing_towards_deg"] = motion.swing_towards_deg or 0.0
        update["swing_phase_deg"] = motion.swing_phase_deg or 0.0
    if motion.twist_turns is not None:
        update["twist_phase_deg"] = motion.twist_phase_deg or 0.0
    return motion.model_copy(update=update)


def _hang(ball: BallTable, room: RoomTable) -> HangTable:
    hang = ball.hang
    has_opening = any(step.opens for step in ball.shape.steps)
    height = HANGING_HEIGHT * room.height if hang.height_m is None else hang.height_m
    by = ("opening" if has_opening else "vertex") if hang.by is None else hang.by
    at = room.hanging_place if hang.at_m is None else hang.at_m
    return hang.model_copy(update={"height_m": height, "at_m": at, "by": by})


def _lamp(
    lamp: LampTable, index: int, count: int, room: RoomTable, first_ball: BallTable
) -> LampTable:
    update: dict[str, object] = {}
    if lamp.name is None:
        update["name"] = default_name("lamp", index)
    if lamp.at_m is None:
        # Lamps without a place stand evenly around the room, the first on the +x axis.
        azimuth = 2.0 * math.pi * index / count
        update["at_m"] = _standing(room, LAMP_DISTANCE, azimuth, LAMP_HEIGHT)
    if lamp.aim is None:
        update["aim"] = first_ball.name
    if lamp.field_deg is None:
        update["field_deg"] = field_of(lamp.beam_deg)
    if lamp.peak_cd is None and lamp.lumens is None and lamp.file is None:
        update["peak_cd"] = PEAK_CANDELA
    if lamp.kelvin is None and lamp.colour is None:
        update["kelvin"] = KELVIN
    return lamp.model_copy(update=update)


def _string(string: StringTable, index: int, first_ball: BallTable) -> StringTable:
    update: dict[str, object] = {}
    if string.name is None:
        update["name"] = default_name("string", index)
    if string.ball is None:
        update["ball"] = first_ball.name
    if string.lay is None:
        update["lay"] = "bundle" if string.points_mm is None else "points"
    if string.points_mm is not None:
        update["leds"] = len(string.points_mm)
    if string.kelvin is None and string.colour is None:
        update["kelvin"] = STRING_KELVIN
    return string.model_copy(update=update)


def _eye(eye: EyeTable, room: RoomTable) -> EyeTable:
    update: dict[str, object] = {}
    if eye.at_m is None:
        update["at_m"] = _standing(room, EYE_DISTANCE, -0.5 * math.pi, EYE_HEIGHT)
    if eye.look_m is None:
        height = HANGING_HEIGHT * room.height
        update["look_m"] = (0.0, LOOK_DISTANCE * room.half_sides[1], height)
    return eye.model_copy(update=update)


def _standing(
    room: RoomTable, share: float, azimuth: float, height: float
) -> tuple[float, float, float]:
    """A point at a share of the room's radius or half sides, at a height or lower under a low
    roof."""
    half_x, half_y = room.half_sides
    x, y = share * half_x * math.cos(azimuth), share * half_y * math.sin(azimuth)
    distance = math.hypot(x, y)
    # Whole millimetres, so that messages and tables read well.
    return (
        round(x, 3) + 0.0,
        round(y, 3) + 0.0,
        min(height, round(CLEARANCE * room.ceiling(distance), 3)),
    )
