"""`shared/docs/scene-file.md`: every key of a scene file, from the schema.

The words around the tables are in `scene-file.md` beside this file; a line `<!-- keys: tile -->`
there becomes the table of that name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from pydantic.fields import FieldInfo

from glint.errors import in_words
from glint.files.table import Table
from glint.room.kinds import DEFAULT as ROOM
from glint.room.table import RoomTable, RoundTable
from glint.schema.describe import Spot, allowed_at, kind_of, tables_in
from glint.schema.tables import SceneFile

WORDS = Path(__file__).with_name("scene-file.md")
WITHOUT = "; without it, "
"""What stands between the meaning of a key and its default, in a title."""

_HEAD = ["| key | what it means | allowed | default |", "|---|---|---|---|"]


def page() -> str:
    """The whole page, Markdown."""
    known = dict(tables())

    def table(found: re.Match[str]) -> str:
        return "\n".join([*_HEAD, *_rows(known[found[1]], known)])

    return re.sub(r"<!-- keys: ([\w.]+) -->", table, WORDS.read_text(encoding="utf-8"))


def tables() -> Iterator[tuple[str, dict[str, tuple[type[Table], FieldInfo]]]]:
    """The keys of every table by its name, each with the table that it was found in.

    Of tables of several kinds, as rooms, "room" has the keys that all have, and "room.dome" the
    others of a dome.
    """
    yield "scene", _keys(SceneFile)
    seen: set[type[Table]] = set()
    waiting: list[tuple[str, FieldInfo]] = list(SceneFile.model_fields.items())
    while waiting:
        name, field = waiting.pop(0)
        kinds = tables_in(field.annotation)
        if not kinds or set(kinds) <= seen:
            continue
        seen |= set(kinds)
        own = [_keys(kind) for kind in kinds]
        common = [key for key in own[0] if all(key in one for one in own)]
        common = [key for key in common if key != kinds[0].kind_key]
        yield name, {key: own[0][key] for key in common}
        for kind, keys in zip(kinds, own, strict=True):
            if kind.kind_key:
                rest = {key: value for key, value in keys.items() if key not in common}
                first = {kind.kind_key: rest.pop(kind.kind_key)}
                yield f"{name}.{kind_of(kind)}", {**first, **rest}
        waiting += [item for kind in kinds for item in kind.model_fields.items()]


def _keys(table: type[Table]) -> dict[str, tuple[type[Table], FieldInfo]]:
    return {key: (table, field) for key, field in table.model_fields.items()}


def _rows(keys: dict[str, tuple[type[Table], FieldInfo]], known: dict) -> Iterator[str]:
    for key, (table, field) in keys.items():
        says, _, without = (field.title or "").partition(WITHOUT)
        cells = [f"`{key}`", says, _allowed(key, table, field, known)]
        cells.append(without or _default(key, table, field))
        yield f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |"


def _allowed(key: str, table: type[Table], field: FieldInfo, known: dict) -> str:
    if key == table.kind_key:
        return in_words(kind_of(table))
    inner = tables_in(field.annotation)
    if inner and key in known:
        return f"see [{key}](#{key})"
    allowed = allowed_at(Spot((key,), inner, field))
    if issubclass(table, RoomTable) and (share := table.SHARES.get(key)):
        return f"{allowed}, {share.least:g} to {share.most:g} times `{share.of}`"
    return allowed


def _default(key: str, table: type[Table], field: FieldInfo) -> str:
    if field.is_required() or (key == table.kind_key and field.default != ROOM):
        return "needed"
    if issubclass(table, RoundTable) and key == "rise_m":
        return f"{table.RISE:g} times `radius_m`"
    if issubclass(table, RoundTable) and key == "wall_m":
        return f"{table.WALL:g}, at most the radius" if table.WALL else "0"
    value = field.default
    if value is None or value == ():
        return "none"
    if isinstance(value, Table):
        return "its defaults"
    return in_words(value)
