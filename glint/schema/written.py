"""A checked scene as the tables of a file again."""

from __future__ import annotations

from typing import Any

from glint.schema.edit import plain
from glint.schema.tables import LampTable, SceneFile, Table, TileTable


def tables_of(file: SceneFile) -> dict[str, Any]:
    """The tables of a scene as a file holds them: those that it was read from, where they are
    known, or else such as give it again."""
    if file.tables is not None:
        return file.tables
    found: dict[str, Any] = {}
    scene_tile = file.tile
    for key in SceneFile.model_fields:
        value = getattr(file, key)
        if key == "ball":
            found[key] = [_ball(ball, scene_tile) for ball in value]
        elif key == "lamp":
            found[key] = [_lamp(lamp) for lamp in value]
        elif key == "string":
            found[key] = [_string(string) for string in value]
        elif key == "candidate":
            found[key] = [
                {**_told(one), "shape": _told(one.shape), "tile": _own(one.tile, scene_tile)}
                for one in value
            ]
        elif key == "free":
            found[key] = [_told(row) for row in value]
        else:
            found[key] = _told(value) if isinstance(value, Table) else value
    return found


def _ball(ball: Any, scene_tile: TileTable) -> dict[str, Any]:
    hang = _told(ball.hang)
    if ball.shape.is_mesh:
        hang.pop("by", None)
    return {
        "name": ball.name,
        "shape": _told(ball.shape),
        "tile": _own(ball.tile, scene_tile),
        "hang": hang,
        "motion": _told(ball.motion),
    }


def _lamp(lamp: LampTable) -> dict[str, Any]:
    told = _told(lamp)
    if lamp.file is not None:
        told.pop("beam_deg", None)
        told.pop("field_deg", None)
    return told


def _string(string: Any) -> dict[str, Any]:
    told = _told(string)
    if string.points_mm is not None:
        told.pop("leds", None)
    return told


def _own(tile: TileTable, scene_tile: TileTable) -> dict[str, Any]:
    """What a ball's tiles have of their own."""
    return {
        key: plain(getattr(tile, key))
        for key in TileTable.model_fields
        if getattr(tile, key) != getattr(scene_tile, key)
    }


def _told(table: Table) -> dict[str, Any]:
    """The keys of a filled table that are not at a plain default."""
    return {
        key: plain(getattr(table, key))
        for key in type(table).model_fields
        if getattr(table, key) is not None and not is_default(type(table), key, getattr(table, key))
    }


def is_default(table: type[Table], key: str, value: Any) -> bool:
    """Whether a value is what stands there anyway; never of a default that depends on others, nor
    of the key that says which of several tables this is."""
    field = table.model_fields.get(key)  # None for a length in inches or feet
    return (
        field is not None
        and key != table.kind_key
        and not field.is_required()
        and plain(value) == plain(field.default)
    )
