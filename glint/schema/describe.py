"""What may stand at a key of a scene file, put into English from the model itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from glint.errors import in_words, listed
from glint.files.colours import COLOURS
from glint.files.table import NAMED_COLOUR, Table
from glint.schema.tables import SceneFile

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

_RATES = {"_m_s": "metres a second", "_per_s": "times a second", "_per_m": "per metre"}
"""Of keys that end so; their last word alone would be seconds or metres."""


class Bounds(NamedTuple):
    """The range of a number; `above` if the least value itself is left out."""

    least: float
    most: float
    above: bool

    def holds(self, value: float) -> bool:
        return (self.least < value if self.above else self.least <= value) and value <= self.most


class Spot(NamedTuple):
    """A place in a scene file that the model knows.

    path: of the deepest key or table there. tables: what may stand there, if it is a table; more
    than one where a key of it says which. field: None for the whole file. found: whether the model
    knows the whole path.
    """

    path: tuple[str | int, ...]
    tables: tuple[type[Table], ...]
    field: FieldInfo | None
    found: bool = True

    @property
    def table(self) -> type[Table] | None:
        """The first of the tables, or None."""
        return self.tables[0] if self.tables else None

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of all the tables, each once."""
        return tuple(dict.fromkeys(key for table in self.tables for key in table.model_fields))


def spot_at(path: Sequence[str | int], root: type[Table] = SceneFile) -> Spot:
    """The deepest place on a path that the model knows; a key that it does not know ends it.

    root: the table that the path begins in. Where a key says which of several tables stands there,
    pydantic puts its value on the path.
    """
    spot = Spot((), (root,), None)
    for part in path:
        field = next((t.model_fields[part] for t in spot.tables if part in t.model_fields), None)
        if isinstance(part, int) and spot.tables:
            spot = spot._replace(path=(*spot.path, part))
        elif len(spot.tables) > 1 and (named := [t for t in spot.tables if kind_of(t) == part]):
            spot = spot._replace(tables=tuple(named))
        elif field is not None:
            spot = Spot((*spot.path, part), tables_in(field.annotation), field)
        else:
            return spot._replace(found=False)
    return spot


def kind_of(table: type[Table]) -> str | None:
    """What the key that tells several tables apart says for this one; None where there is none."""
    return table.model_fields[table.kind_key].default if table.kind_key else None


def tables_in(annotation: Any) -> tuple[type[Table], ...]:
    """The tables that a field may hold, alone or in a list; none for a plain value."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return (annotation,)
    if get_origin(annotation) is Literal:
        return ()
    return tuple(table for part in get_args(annotation) for table in tables_in(part))


def holds_many(field: FieldInfo) -> bool:
    """Whether a field is a list of tables."""
    return get_origin(field.annotation) is tuple and bool(tables_in(field.annotation))


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
    """The spellings that a field takes, if it takes a few only; of a colour its names."""
    found: list[str] = list(COLOURS) if NAMED_COLOUR in field.metadata else []
    open_parts = [field.annotation]
    while open_parts:
        part = open_parts.pop(0)
        if get_origin(part) is Literal:
            found += get_args(part)
        elif get_origin(part) is Annotated:
            found += COLOURS if NAMED_COLOUR in get_args(part)[1:] else ()
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
    unit = unit_of(key)
    kind = "a whole number" if whole else "a number"
    bounds = bounds_of(field)
    return f"{kind}{f' of {unit}' if unit else ''} {range_in_words(bounds)}"


def unit_of(key: str) -> str | None:
    """The unit that a key carries, in English; None where it has none."""
    rate = next((unit for ending, unit in _RATES.items() if key.endswith(ending)), None)
    return rate or _UNITS.get(key.rpartition("_")[2])


def range_in_words(bounds: Bounds) -> str:
    """As "from 0.5 to 100"."""
    if bounds.above:
        return f"above {in_words(bounds.least)}, at most {in_words(bounds.most)}"
    return f"from {in_words(bounds.least)} to {in_words(bounds.most)}"


def _allowed_table(spot: Spot) -> str:
    assert spot.table is not None
    if spot.field is None:
        return f"the tables and keys {listed(spot.keys)}"
    name = next(str(part) for part in reversed(spot.path) if isinstance(part, str))
    top = len(spot.path) == 1
    if not isinstance(spot.path[-1], int) and holds_many(spot.field):
        least, most = 0, 0
        for rule in spot.field.metadata:
            least, most = getattr(rule, "min_length", least), getattr(rule, "max_length", most)
        what = f"tables [[{name}]]" if top else "tables"
        count = f"{least} to {most}" if least else f"at most {most}"
        return f"a list of {count} {what}"
    table = f"a table [{name}]" if top else f"a table with the keys {listed(spot.keys)}"
    return f"{spot.table.or_name}, or {table}" if spot.table.or_name else table
