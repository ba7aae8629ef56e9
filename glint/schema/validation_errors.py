"""What pydantic found wrong with the tables of a scene, as problems in plain English."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

from glint.errors import (
    Problem,
    listed,
    nearest_spelling,
    place,
    problem_at,
)
from glint.schema.describe import (
    Spot,
    allowed_at,
    choices_of,
    holds_many,
    spot_at,
    table_in,
)
from glint.schema.tables import SceneFile, Table

MOST_PROBLEMS = 100
"""Problems that are told one by one; of more than that only the number is told."""


def problems_in(
    error: ValidationError, tables: dict[str, Any], root: type[Table] = SceneFile
) -> tuple[list[Problem], int]:
    """Problems of the tables of a scene file, one a place, and how many more there are.

    root: the table that was checked, if it is not the whole file: places are then told from it, as
    "shape.steps[0].do".
    """
    details = error.errors(include_url=False, include_context=False, include_input=False)
    problems: dict[str, Problem] = {}
    for detail in details[:MOST_PROBLEMS]:
        path = detail["loc"]
        spot = spot_at(path, root)
        if detail["type"] == "too_short" and value_at(tables, spot.path):
            continue  # Pydantic counts good tables only; the bad ones are told of by themselves.
        if detail["type"] == "extra_forbidden":
            problem = _unknown_key(path, root)
        elif detail["type"] == "missing" and spot.path == path:
            problem = _missing(spot)
        else:
            problem = _unfit(spot, tables)
        if root is not SceneFile:
            problem = problem._replace(where=path_in_words(spot.path or path))
        problems.setdefault(problem.where, problem)
    return list(problems.values()), max(len(details) - MOST_PROBLEMS, 0)


def value_at(tables: Any, path: Sequence[str | int]) -> Any:
    """What stands at a path of the raw tables."""
    for part in path:
        tables = tables[part]
    return tables


def _unfit(spot: Spot, tables: dict[str, Any]) -> Problem:
    field = spot.field
    choices = choices_of(field) if field is not None else ()
    problem = problem_at(spot.path, value_at(tables, spot.path), allowed_at(spot), choices)
    return problem._replace(where=_place(spot))


def _missing(spot: Spot) -> Problem:
    return Problem(_place(spot), "nothing", allowed_at(spot))


def _place(spot: Spot) -> str:
    """As `place`, but a whole table of the file is told by its header."""
    name = place(spot.path)
    if spot.field is None or spot.table is None or len(spot.path) > 1:
        return name
    return f"[[{name}]]" if holds_many(spot.field) else f"[{name}]"


def path_in_words(path: Sequence[str | int]) -> str:
    """As "shape.steps[0].do", rows from 0."""
    parts = [f"[{part}]" if isinstance(part, int) else f".{part}" for part in path]
    return "".join(parts).removeprefix(".")


def _unknown_key(path: Sequence[str | int], root: type[Table]) -> Problem:
    table = spot_at(path[:-1], root).table
    assert table is not None
    key, own = str(path[-1]), tuple(table.model_fields)
    nearest = nearest_spelling(key, own) or _nearest_one_table_down(key, table)
    return Problem(place(path), "an unknown key", listed(own), nearest)


def _nearest_one_table_down(key: str, table: type[Table]) -> str | None:
    """A dotted key whose last part is near, as "motion.rpm" for an rpm that stands too high."""
    inner = {
        below: f"{name}.{below}"
        for name, field in table.model_fields.items()
        if not holds_many(field) and (child := table_in(field.annotation))
        for below in child.model_fields
    }
    near = nearest_spelling(key, inner)
    return inner[near] if near else None
