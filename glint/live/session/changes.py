"""Tables with a ball, lamp, string or step more or less, and all that goes with it."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping
from typing import Any

from glint.errors import GlintError, UsageError, in_words, require_choice, require_number
from glint.scene.scene import Scene
from glint.schema.edit import edited
from glint.schema.written import tables_of

KINDS = ("ball", "lamp", "string", "step")

A_SHAPE = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
A_STEP = {"do": "raise", "sides": 3}

GOLDEN = math.pi * (3.0 - math.sqrt(5.0))
"""Places turned by this angle, one after the other, never crowd."""

PLACES = 24
"""Places that are tried for what is new."""

Tables = dict[str, Any]


def added(scene: Scene, message: Mapping[str, Any]) -> Iterator[Tables]:
    """Tables with one more, best first: they differ in where it is, and not all can be built."""
    what = require_choice("what", message.get("what"), KINDS)
    value = message.get("value")
    if value is not None and not isinstance(value, Mapping):
        raise UsageError(f"value: found {in_words(value)}; allowed: a table")
    tables = _plainly_named(scene)
    if what == "step":
        ball = _number(message.get("ball", 0), len(scene.balls))
        steps = tables["ball"][ball].get("shape", {}).get("steps", [])
        place = f"ball[{ball}].shape.steps[{len(steps)}]"
        yield edited(tables, {place: A_STEP if value is None else value})
    elif what == "string":
        ball = _number(message.get("ball", 0), len(scene.balls))
        row = {"ball": scene.balls[ball].name, **(value or {})}
        yield edited(tables, {f"string[{len(scene.strings)}]": row})
    elif what == "lamp":
        rows = tables["lamp"]
        if value and "at_m" in value:
            yield {**tables, "lamp": [*rows, value]}
            return
        for at in _lamp_places(scene):
            yield {**tables, "lamp": [*rows, {"at_m": at, **(value or {})}]}
    else:
        new = {"shape": A_SHAPE, **(value or {})}
        hang = dict(new.get("hang", {}))
        if "at_m" in hang:
            yield {**tables, "ball": [*tables["ball"], new]}
            return
        for at in _ball_places(scene):
            yield {**tables, "ball": [*tables["ball"], {**new, "hang": {**hang, "at_m": at}}]}


def removed(scene: Scene, message: Mapping[str, Any]) -> Tables:
    """Tables with one less, and without what pointed to it."""
    what = require_choice("what", message.get("what"), KINDS)
    tables = _plainly_named(scene)
    if what == "step":
        ball = _number(message.get("ball", 0), len(scene.balls))
        steps = tables["ball"][ball].get("shape", {}).get("steps", [])
        number = _number(message.get("number"), len(steps))
        return edited(tables, {f"ball[{ball}].shape.steps[{number}]": None})
    rows = tables.get(what, [])
    number = _number(message.get("number"), len(rows))
    name = rows[number]["name"]
    left = {**tables, what: rows[:number] + rows[number + 1 :]}
    if what == "ball":
        if not left["ball"]:
            raise GlintError("the last ball stays: change its shape instead")
        left["lamp"] = [
            {key: value for key, value in row.items() if key != "aim" or value != name}
            for row in left["lamp"]
        ]
        left["string"] = [row for row in left["string"] if row["ball"] != name]
    if not left["lamp"] and not left["string"]:
        raise GlintError("the last light stays: with none, there would be nothing to see")
    free = [row for row in left.get("free", []) if row.get(what) != name]
    if "free" in left:
        left["free"] = free
    return {key: value for key, value in left.items() if value != []}


def _number(value: Any, count: int) -> int:
    if not count:
        raise UsageError("number: there is none to take")
    require_number("number", value, 0, count - 1, whole=True)
    return int(value)


def _plainly_named(scene: Scene) -> Tables:
    """The scene's tables with every name, and every lamp's place, written out: defaults count
    rows, and would change with them."""
    tables = copy.deepcopy(tables_of(scene.source))
    file = scene.source
    for key, filled in (("ball", file.ball), ("lamp", file.lamp), ("string", file.string)):
        rows = tables.get(key) or [{} for _ in filled]
        for row, whole in zip(rows, filled, strict=True):
            row["name"] = whole.name
        tables[key] = rows
    for row, lamp in zip(tables["lamp"], file.lamp, strict=True):
        row.setdefault("at_m", list(lamp.at_m))
    for row, string in zip(tables["string"], file.string, strict=True):
        row["ball"] = string.ball
    return tables


def _lamp_places(scene: Scene) -> Iterator[list[float]]:
    """Around the room's axis, from where the last lamp stands, then nearer and nearer to it."""
    x, y, z = (float(v) for v in scene.lamps[-1].position) if scene.lamps else (2.0, 0.0, 1.6)
    for number in range(1, PLACES + 1):
        c, s = math.cos(number * GOLDEN), math.sin(number * GOLDEN)
        near = 1.0 - 0.6 * number / PLACES
        yield [round(near * (c * x - s * y), 2), round(near * (s * x + c * y), 2), round(z, 2)]


def _ball_places(scene: Scene) -> Iterator[list[float]]:
    """Around the first ball, further and further away."""
    first = scene.balls[0]
    x, y = (float(v) for v in first.centre[:2])
    for number in range(1, PLACES + 1):
        away = 3.0 * first.body.radius * math.sqrt(number)
        turn = number * GOLDEN
        yield [round(x + away * math.cos(turn), 2), round(y + away * math.sin(turn), 2)]
