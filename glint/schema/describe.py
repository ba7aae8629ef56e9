"""What may stand at a key of a scene file, put into English from the model itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from glint.errors import in_words, listed
from glint.schema.tables import SceneFile, Table

_UNITS = {
    "m": "metres",
    "mm": "millimetres",
    "deg": "degrees",
    "lux": "lux",
    "cd": "candela",
    "lumens": "lumens",
    "kelvin": "kelvin",
    "rpm": "turns a minute",
    "turns": "turns",
    "s": "seconds",
    "min": "minutes",
    "h": "hours",
    "percent": "percent",
    "mm2": "square millimetres",
    "cm3": "grams a cubic centimetre",
}

_RATES = {"_m_s": "metres a second", "_per_s": "times a second"}
"""Of keys that end so; their last word alone would be seconds."""


class Bounds(NamedTuple):
    """The range of a number; `above` if the least value itself is left out."""

    least: float
    most: float
    above: bool

    def holds(self, value: float) -> bool:
        return (self.least < value if self.above else self.least <= value) and value <= self.most


class Spot(NamedTuple):
    """A place in a scene file that the model knows.

    path: of the deepest key or table there. table: the keys that may stand there, if it is a
    table. field: None for the whole file.
    """

    path: tuple[str | int, ...]
    table: type[Table] | None
    field: FieldInfo | None


def spot_at(path: Sequence[str | int]) -> Spot:
    """The deepest place on a path that the model knows; a key that it does not know ends it."""
    spot = Spot((), SceneFile, None)
    for part in path:
        keys = {} if spot.table is None else spot.table.model_fields
        if isinstance(part, int) and keys:
            spot = spot._replace(path=(*spot.path, part))
        elif part in keys:
            field = keys[str(part)]
            spot = Spot((*spot.path, part), table_in(field.annotation), field)
        else:
            break
    return spot


def table_in(annotation: Any) -> type[Table] | None:
    """The table that a field holds, alone or in a list; None for a plain value."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    if get_origin(annotation) is Literal:
        return None
    return next((found for part in get_args(annotation) if (found := table_in(part))), None)


def holds_many(field: FieldInfo) -> bool:
    """Whether a field is a list of tables."""
    return get_origin(field.annotation) is tuple and table_in(field.annotation) is not None


def bounds_of(field: FieldInfo) -> Bounds:
    """The range of a number's field."""
    least, most, above = float("-inf"), float("inf"), False
    for rule in field.metadata:
        if hasattr(rule, "ge"):
            least = rule.ge
        if hasattr(rule, "gt"):
            least, above = rule.gt, True
        if hasattr(rule, "le"):
            most = rule.le
    return Bounds(least, most, above)


def choices_of(field: FieldInfo) -> tuple[str, ...]:
    """The spellings that a field takes, if it takes a few only."""
    found: list[str] = []
    open_parts = [field.annotation]
    while open_parts:
        part = open_parts.pop(0)
        if get_origin(part) is Literal:
            found += get_args(part)
        elif get_origin(part) is Union or get_origin(part) is type(int | str):
            open_parts = [*get_args(part), *open_parts]
    return tuple(found)


def allowed_at(spot: Spot) -> str:
    """What may stand at a place, in English."""
    field, table = spot.field, spot.table
    if field is None or table is not None:
        return _allowed_table(spot)
    if field.description:
        return field.description
    if choices := choices_of(field):
        return listed(choices)
    whole = int in (field.annotation, *get_args(field.annotation))
    key = str(spot.path[-1])
    rate = next((unit for ending, unit in _RATES.items() if key.endswith(ending)), None)
    unit = rate or _UNITS.get(key.rpartition("_")[2])
    kind = "a whole number" if whole else "a number"
    bounds = bounds_of(field)
    return f"{kind}{f' of {unit}' if unit else ''} {range_in_words(bounds)}"


def range_in_words(bounds: Bounds) -> str:
    """As "from 0.5 to 100"."""
    if bounds.above:
        return f"above {in_words(bounds.least)}, at most {in_words(bounds.most)}"
    return f"from {in_words(bounds.least)} to {in_words(bounds.most)}"


def _allowed_table(spot: Spot) -> str:
    assert spot.table is not None
    if spot.field is None:
        return f"the tables and keys {listed(spot.table.model_fields)}"
    name = next(str(part) for part in reversed(spot.path) if isinstance(part, str))
    top = len(spot.path) == 1
    if not isinstance(spot.path[-1], int) and holds_many(spot.field):
        least, most = 0, 0
        for rule in spot.field.metadata:
            least, most = getattr(rule, "min_length", least), getattr(rule, "max_length", most)
        what = f"tables [[{name}]]" if top else "tables"
        count = f"{least} to {most}" if least else f"at most {most}"
        return f"a list of {count} {what}"
    if top:
        return f"a table [{name}]"
    return f"a table with the keys {listed(spot.table.model_fields)}"
