"""Edits of a scene's tables by paths: "lamp[0].at_m", "ball[quince].hang.height_m"."""

from __future__ import annotations

import copy
import itertools
import re
from collections.abc import Mapping
from typing import Any

from glint.errors import GlintError, in_words, listed, nearest_spelling
from glint.schema.describe import holds_many
from glint.schema.lengths import put
from glint.schema.raw import default_name
from glint.schema.tables import SceneFile, Table
from glint.shape.named_shapes import shape_named

_STEP = re.compile(r"\.?([A-Za-z_]\w*)|\[([^\[\]]+)\]")
_FORM = 'keys joined by dots, rows in brackets by place or name, as "lamp[0].at_m"'


def plain(value: Any) -> Any:
    """A value as a file holds it: tables as dicts of what was set, arrays as lists."""
    if isinstance(value, Table):
        return {key: plain(getattr(value, key)) for key in value.model_fields_set}
    if isinstance(value, Mapping):
        return {key: plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return plain(value.tolist()) if hasattr(value, "tolist") else value


def edited(tables: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a scene with values changed.

    changes: from paths to new values; None takes a key or row away, so that its default holds
    again; the place just behind the last row of a list adds one. Keys that a table does not know
    are left to the check of the whole. Raises GlintError for a path that leads nowhere.
    """
    if not isinstance(changes, Mapping):
        raise GlintError(f"changes: found {in_words(changes)}; allowed: a dict of paths to values")
    changed = copy.deepcopy(dict(tables))
    for path, value in changes.items():
        steps = _steps(path)
        table: Any = changed
        for step, after in itertools.pairwise(steps):
            table = _entered(table, step, path, [] if isinstance(after, int | _Name) else {})
        _set(table, steps[-1], plain(value), path)
    return changed


class _Name(str):
    """The name of a row, as opposed to a key."""


def _steps(path: Any) -> list[str | int | _Name]:
    found: list[str | int | _Name] = []
    end = 0
    while isinstance(path, str) and (step := _STEP.match(path, end)):
        key, row = step.groups()
        if key is not None and (path[end] == ".") != bool(found):
            break
        if key is not None:
            found.append(key)
        else:
            row = row.strip("\"'")
            found.append(int(row) if row.isdecimal() else _Name(row))
        end = step.end()
    if not found or end < len(path) or isinstance(found[0], int | _Name):
        raise GlintError(f"path: found {in_words(path)}; allowed: {_FORM}")
    if found[0] not in SceneFile.model_fields:
        allowed = tuple(SceneFile.model_fields)
        near = nearest_spelling(str(found[0]), allowed)
        hint = f"; did you mean {in_words(near)}?" if near else ""
        raise GlintError(f"{path}: found {in_words(found[0])}; allowed: {listed(allowed)}{hint}")
    if len(found) > 1 and (isinstance(found[1], str) and not isinstance(found[1], _Name)) == (
        holds_many(SceneFile.model_fields[found[0]])
    ):
        raise GlintError(f"path: found {in_words(path)}; allowed: {_FORM}")
    return found


def _entered(table: Any, step: str | int | _Name, path: str, empty: Any) -> Any:
    """The table or list one step on, made where it is not there."""
    if isinstance(step, int | _Name):
        row = _row(table, step, path)
        if row == len(table):
            table.append({})
        return table[row]
    if isinstance(table, dict) and step == "shape" and isinstance(table.get(step), str):
        named = shape_named(table[step])
        if named is not None:  # a name of the catalogue becomes the table that it stands for
            table[step] = plain(named.table)
    if not isinstance(table, dict) or not isinstance(table.get(step, empty), dict | list):
        raise GlintError(f"{path}: found a value at {in_words(step)}; allowed: a path to a key")
    return table.setdefault(step, empty)


def _set(table: Any, last: str | int | _Name, value: Any, path: str) -> None:
    if isinstance(last, int | _Name):
        row = _row(table, last, path)
        table[row : row + 1] = [] if value is None else [value]
    elif not isinstance(table, dict):
        raise GlintError(f"{path}: found a list; allowed: a row of it in brackets, as [0]")
    else:
        put(table, last, value)


def _row(rows: Any, step: int | _Name, path: str) -> int:
    """The place of a row; that behind the last one to add one."""
    if not isinstance(rows, list):
        raise GlintError(f"{path}: found brackets behind a table; allowed: brackets behind a list")
    if isinstance(step, int):
        if step > len(rows):
            raise GlintError(f"{path}: found [{step}]; allowed: [0] to [{len(rows)}]")
        return step
    kind = path.partition("[")[0]
    names = [
        str(row.get("name", default_name(kind, place))) if isinstance(row, dict) else ""
        for place, row in enumerate(rows)
    ]
    if step in names:
        return names.index(step)
    if not rows and step == default_name(kind, 0):
        return 0
    near = nearest_spelling(step, names)
    hint = f"; did you mean {in_words(near)}?" if near else ""
    raise GlintError(f"{path}: found {in_words(str(step))}; allowed: {listed(names)}{hint}")
