"""A scene file with other numbers in it, and everything else as it was written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import tomlkit

from glint.schema.lengths import put
from glint.schema.tables import FreeTable, SceneFile
from glint.search.variables import chosen

_HANG = {"height_m", "x_m", "y_m"}


def rewritten(text: str, file: SceneFile, values: Sequence[float]) -> str:
    """The text of a scene file with the free numbers replaced; comments and order stay.

    text: what `file` was read from; values: one for each of file.free.
    """
    document = tomlkit.parse(text)
    after = chosen(file, values)
    for free in file.free:
        if free.ball is not None:
            row = next(i for i, ball in enumerate(file.ball) if ball.name == free.ball)
            _write_ball(document["ball"][row], free, after.ball[row])  # pyright: ignore
        else:
            row = next(i for i, lamp in enumerate(file.lamp) if lamp.name == free.lamp)
            if "lamp" not in document:
                document["lamp"] = tomlkit.aot()
                document["lamp"].append(tomlkit.table())  # pyright: ignore
            _write_lamp(document["lamp"][row], free, after.lamp[row])  # pyright: ignore
    return tomlkit.dumps(document)


def _write_ball(table: Any, free: FreeTable, ball: Any) -> None:
    if free.key in _HANG:
        hang = _inner(table, "hang")
        if free.key == "height_m":
            put(hang, "height_m", ball.hang.height_m)
        else:
            put(hang, "at_m", list(ball.hang.at_m))
    elif free.key == "rpm":
        _inner(table, "motion")["rpm"] = ball.motion.rpm
    elif free.key == "diameter_m":
        put(_inner(table, "shape"), "diameter_m", ball.shape.diameter_m)
    else:
        put(_inner(table, "tile"), "panel_edge_mm", ball.tile.panel_edge_mm)


def _write_lamp(table: Any, free: FreeTable, lamp: Any) -> None:
    if free.key == "beam_deg":
        table["beam_deg"], table["field_deg"] = lamp.beam_deg, round(lamp.field_deg, 4)
    elif free.key.startswith("aim_"):
        table["aim"] = list(lamp.aim)
    else:
        put(table, "at_m", list(lamp.at_m))


def _inner(table: Any, key: str) -> Any:
    """A table within a table, made if it is not there."""
    if key not in table:
        table[key] = tomlkit.inline_table()
    return table[key]
