"""A scene's tables as the text of a file: defaults left out, and comments kept where it had any."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable

from glint.schema.edit import plain
from glint.schema.tables import SceneFile, Table
from glint.schema.written import is_default


def as_text(tables: dict[str, Any], text: str | None = None) -> str:
    """The text of a scene file with these tables.

    text: of the file that they came from, which keeps its order and its comments; what the tables
    do not hold any more is taken out, and what is new is added.
    """
    if text is not None:
        document: Any = tomlkit.parse(text.removeprefix("\ufeff"))
        _reconcile(document, tables)
        return tomlkit.dumps(document)
    document = tomlkit.document()
    for key, value in without_defaults(SceneFile, tables).items():
        document[key] = _top(value)
    return tomlkit.dumps(document)


def without_defaults(table: type[Table], values: dict[str, Any]) -> dict[str, Any]:
    """The values of the whole file that are not what they would be anyway, plain values first."""
    found = {}
    for key, value in values.items():
        field = table.model_fields[key]
        if isinstance(value, dict):
            inner = {k: v for k, v in value.items() if v is not None}
            if key in ("tile", "eye", "optics", "goal", "workshop"):
                model = type(field.default)
                inner = {k: v for k, v in inner.items() if not is_default(model, k, v)}
            if inner:
                found[key] = inner
        elif field.is_required() or value != plain(field.default):
            found[key] = value
    return dict(sorted(found.items(), key=lambda item: isinstance(item[1], dict | list)))


def _top(value: Any) -> Any:
    """A value of the file itself: a table under its header, a list of tables as [[tables]]."""
    if isinstance(value, dict):
        table = tomlkit.table()
        for key, one in value.items():
            table[key] = _inline(one)
        return table
    if isinstance(value, list | tuple) and value and all(isinstance(row, dict) for row in value):
        rows = tomlkit.aot()
        for row in value:
            rows.append(_top({key: one for key, one in row.items() if one not in (None, {})}))
        return rows
    return _inline(value)


def _inline(value: Any) -> Any:
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        for key, one in value.items():
            if one is not None:
                table[key] = _inline(one)
        return table
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for one in value:
            array.append(_inline(one))
        return array
    return value


def _reconcile(document: Any, tables: dict[str, Any]) -> None:
    """Make a document say what the tables say, and leave the rest of it as it stands."""
    for key in [key for key in document if key not in tables]:
        del document[key]
    for key, value in tables.items():
        old = document.get(key)
        if isinstance(old, dict) and isinstance(value, dict):
            _reconcile(old, value)
        elif isinstance(old, AoT) and isinstance(value, list) and value:
            while len(old) > len(value):
                pairs = zip(_unwrapped(old), plain(value), strict=False)
                gone = (place for place, (was, now) in enumerate(pairs) if was != now)
                del old[next(gone, len(old) - 1)]
            for row, new in zip(old, value, strict=False):
                _reconcile(row, new)
            for new in value[len(old) :]:
                old.append(_top(new))
        elif old is None or _unwrapped(old) != plain(value):
            inside = isinstance(document, InlineTable) or not isinstance(value, dict | list)
            document[key] = _inline(value) if inside else _top(value)


def _unwrapped(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item
