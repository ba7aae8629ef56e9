"""What controls need to know of the keys of a scene, from the tables themselves."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from typing import Any, get_args

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from glint.files.table import A_COLOUR, A_FLOOR_POINT, A_POINT, TWO_ANGLES, Table
from glint.schema.describe import (
    Spot,
    allowed_at,
    bounds_of,
    choices_of,
    holds_many,
    kind_of,
    tables_in,
    unit_of,
)
from glint.schema.edit import plain
from glint.schema.tables import SceneFile
from glint.shape.catalogue import catalogue

SAID = {A_COLOUR: "colour", A_POINT: "point", A_FLOOR_POINT: "point", TWO_ANGLES: "numbers"}
"""Kinds of values that their descriptions tell best."""


@cache
def schema_facts() -> dict[str, Any]:
    """Every table of a scene file by its name, and the facts of its keys."""
    found: dict[str, dict[str, Any]] = {}
    waiting: list[type[Table]] = [SceneFile]
    while waiting:
        table = waiting.pop()
        if table.__name__ in found:
            continue
        found[table.__name__] = {
            key: _fact(key, field) for key, field in table.model_fields.items()
        }
        for field in table.model_fields.values():
            waiting += tables_in(field.annotation)
    return {"root": SceneFile.__name__, "tables": found}


def _fact(key: str, field: FieldInfo) -> dict[str, Any]:
    tables = tables_in(field.annotation)
    fact: dict[str, Any] = {
        "kind": _kind(field),
        "title": field.title or "",
        "needed": field.is_required(),
        "allowed": allowed_at(Spot((key,), tables, field)),
    }
    if field.default not in (PydanticUndefined, None) and not tables:
        fact["default"] = plain(field.default)
    if fact["kind"] in ("number", "whole"):
        bounds = bounds_of(field)
        limits = {"least": bounds.least, "most": bounds.most}
        fact |= {name: value for name, value in limits.items() if math.isfinite(value)}
        fact |= {"above": bounds.above, "unit": unit_of(key)}
    if choices := choices_of(field):
        fact["choices"] = list(choices)
    if tables:
        fact["tables"] = [table.__name__ for table in tables]
        if tells := tables[0].kind_key:
            fact["tells"] = tells
            fact["named"] = {str(kind_of(table)): table.__name__ for table in tables}
    return fact


def _kind(field: FieldInfo) -> str:
    annotation = field.annotation
    if tables_in(annotation):
        return "rows" if holds_many(field) else "table"
    if field.description in SAID:
        return SAID[field.description]
    parts = {annotation, *get_args(annotation)}
    if choices_of(field):
        return "choice"
    for kind, name in ((bool, "flag"), (int, "whole"), (float, "number")):
        if kind in parts:
            return name
    return "text" if str in parts else "other"


@cache
def shape_facts() -> list[dict[str, Any]]:
    """The catalogue: what each shape is made of, as a scene has it."""
    return [
        {
            "name": entry.name,
            "base": entry.base,
            "sides": entry.sides,
            "steps": tomllib.loads(f"steps = {entry.steps}")["steps"],
            "triangles": entry.triangles,
            "squares": entry.squares,
            "buildable": entry.buildable,
        }
        for entry in catalogue()
    ]
