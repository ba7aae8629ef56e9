"""Tables of a scene file as they were written, before anything is known to be right."""

from __future__ import annotations

from typing import Any

from glint.schema.describe import bounds_of
from glint.schema.tables import Table

Raw = dict[str, Any]

_FURTHEST = 1e9  # beyond it no number is right, and a whole one may be too long for a float


def ball_name(ball: Raw, index: int) -> Any:
    """A ball's name as written, or else the one it gets."""
    return ball.get("name", default_name("ball", index))


def default_name(kind: str, index: int) -> str:
    """The name of a nameless ball or lamp, as "ball 1"; index: from 0."""
    return f"{kind} {index + 1}"


def table(parent: Raw, key: str) -> Raw:
    """A table as written; empty if it is missing or is none."""
    value = parent.get(key)
    return value if isinstance(value, dict) else {}


def tables(scene: Raw, key: str, most: int) -> list[tuple[int, Raw]]:
    """The tables of a list with their places from 0; at most so many."""
    value = scene.get(key)
    rows = value[:most] if isinstance(value, list | tuple) else []
    return [(index, row) for index, row in enumerate(rows) if isinstance(row, dict)]


def pair(value: Any) -> list[float] | None:
    """Two numbers as written; None if there is anything else."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        return None
    numbers = [
        float(v)
        for v in value
        if isinstance(v, int | float) and not isinstance(v, bool) and abs(v) <= _FURTHEST
    ]
    return numbers if len(numbers) == 2 else None


def number(model: type[Table], table: Raw, key: str) -> float | None:
    """A number as written or by default; None if there is none, or one that the model refuses."""
    field = model.model_fields[key]
    value = table.get(key, field.default)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if bounds_of(field).holds(value) else None
