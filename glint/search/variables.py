"""What a scene leaves free, and the scene with numbers chosen for it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from glint.errors import Problem, SceneError, UsageError, place
from glint.schema.tables import BallTable, FreeTable, LampTable, SceneFile

_AXES = {"x_m": 0, "y_m": 1, "z_m": 2}


def bounds_of(file: SceneFile) -> list[tuple[float, float]]:
    """Least and most of each free number. Raises UsageError where nothing is free."""
    if not file.free:
        raise UsageError(
            f"{file.path}: nothing is free: add [[free]] tables, each with ball or lamp, key, "
            "least and most"
        )
    return [(free.least, free.most) for free in file.free]


def name_of(free: FreeTable) -> str:
    """A free number as its scene says it: "lamp 1 x_m"."""
    return f"{free.ball or free.lamp} {free.key}"


def values_of(file: SceneFile) -> list[float]:
    """The free numbers as they stand in the scene. Raises SceneError where one has no value."""
    return [_value(file, free, number) for number, free in enumerate(file.free)]


def _value(file: SceneFile, free: FreeTable, number: int) -> float:
    value: Any
    if free.ball is not None:
        ball = next(ball for ball in file.ball if ball.name == free.ball)
        value = {
            "height_m": ball.hang.height_m,
            "x_m": ball.hang.at_m[0],
            "y_m": ball.hang.at_m[1],
            "rpm": ball.motion.rpm,
            "diameter_m": ball.shape.diameter_m,
            "panel_edge_mm": ball.tile.panel_edge_mm,
        }[free.key]
    else:
        lamp = next(lamp for lamp in file.lamp if lamp.name == free.lamp)
        if free.key.startswith("aim_"):
            aimed_at = _aim(file, lamp)
            value = aimed_at[_AXES[free.key.removeprefix("aim_")]]
        else:
            value = lamp.beam_deg if free.key == "beam_deg" else lamp.at_m[_AXES[free.key]]
            if free.key == "beam_deg" and lamp.file is not None:
                value = None
    if value is None:
        allowed = "a key that this ball or lamp has a number for"
        problem = Problem(place(("free", number, "key")), f'"{free.key}"', allowed)
        raise SceneError(str(file.path), [problem])
    return float(value)


def _aim(file: SceneFile, lamp: LampTable) -> tuple[float, float, float]:
    if isinstance(lamp.aim, str):
        ball = next(ball for ball in file.ball if ball.name == lamp.aim)
        return (*ball.hang.at_m, ball.hang.height_m)
    return lamp.aim


def chosen(file: SceneFile, values: Sequence[float]) -> SceneFile:
    """The scene with these numbers in the place of the free ones."""
    balls, lamps = list(file.ball), list(file.lamp)
    for free, value in zip(file.free, values, strict=True):
        if free.ball is not None:
            row = next(i for i, ball in enumerate(balls) if ball.name == free.ball)
            balls[row] = _changed_ball(balls[row], free.key, float(value))
        else:
            row = next(i for i, lamp in enumerate(lamps) if lamp.name == free.lamp)
            lamps[row] = _changed_lamp(file, lamps[row], free.key, float(value))
    return file.replaced(ball=tuple(balls), lamp=tuple(lamps))


def _changed_ball(ball: BallTable, key: str, value: float) -> BallTable:
    if key == "rpm":
        return ball.model_copy(update={"motion": ball.motion.model_copy(update={key: value})})
    if key == "diameter_m":
        return ball.model_copy(update={"shape": ball.shape.model_copy(update={key: value})})
    if key == "panel_edge_mm":
        return ball.model_copy(update={"tile": ball.tile.model_copy(update={key: value})})
    hang = {"height_m": value} if key == "height_m" else {"at_m": _put(ball.hang.at_m, key, value)}
    return ball.model_copy(update={"hang": ball.hang.model_copy(update=hang)})


def _changed_lamp(file: SceneFile, lamp: LampTable, key: str, value: float) -> LampTable:
    if key == "beam_deg":
        factor = value / lamp.beam_deg
        return lamp.model_copy(update={key: value, "field_deg": min(lamp.field_deg * factor, 179)})
    if key.startswith("aim_"):
        aim = _put(_aim(file, lamp), key.removeprefix("aim_"), value)
        return lamp.model_copy(update={"aim": aim})
    return lamp.model_copy(update={"at_m": _put(lamp.at_m, key, value)})


def _put(point: Sequence[float], key: str, value: float) -> tuple[float, ...]:
    changed = list(point)
    changed[_AXES[key]] = value
    return tuple(changed)
