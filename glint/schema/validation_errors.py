"""What pydantic found wrong with the tables of a scene, as problems in plain English."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from glint.errors import (
    Problem,
    in_words,
    listed,
    nearest_spelling,
    place,
    problem_at,
)
from glint.fields import Table
from glint.schema.describe import (
    Spot,
    allowed_at,
    choices_of,
    holds_many,
    kinds_in,
    spot_at,
    table_in,
)

MOST_PROBLEMS = 100
"""Problems that are told one by one; of more than that only the number is told."""


def problems_in(error: ValidationError, tables: dict[str, Any]) -> tuple[list[Problem], int]:
    """Problems of the tables of a scene file, one a place, and how many more there are."""
    details = error.errors(include_url=False, include_context=False, include_input=False)
    problems: dict[str, Problem] = {}
    for detail in details[:MOST_PROBLEMS]:
        path = detail["loc"]
        spot = spot_at(path)
        if detail["type"] == "too_short" and value_at(tables, spot.path):
            continue  # Pydantic counts good tables only; the bad ones are told of by themselves.
        kinds = {} if spot.field is None else kinds_in(spot.field.annotation, spot.field.metadata)
        if detail["type"] in ("union_tag_invalid", "union_tag_not_found"):
            problem = _no_such_kind(spot, kinds, tables)
        elif detail["type"] == "extra_forbidden":
            problem = _unknown_key(path, tables)
        elif detail["type"] == "missing" and spot.path[-1:] == tuple(path[-1:]):
            problem = _missing(path, spot)
        else:
            problem = _unfit(spot, tables)
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


def _missing(path: Sequence[str | int], spot: Spot) -> Problem:
    whole = spot_at(path[:-1])
    allowed = allowed_at(spot)
    if len(whole.path) < len(path) - 1:
        allowed = f"{allowed}; kind {in_words(path[-2])} needs it"
    return Problem(_place(spot), "nothing", allowed)


def _no_such_kind(spot: Spot, kinds: Mapping[str, Any], tables: dict[str, Any]) -> Problem:
    path = (*spot.path, "kind")
    return problem_at(path, value_at(tables, path), listed(kinds), kinds)


def _place(spot: Spot) -> str:
    """As `place`, but a whole table of the file is told by its header."""
    name = place(spot.path)
    if spot.field is None or spot.table is None or len(spot.path) > 1:
        return name
    return f"[[{name}]]" if holds_many(spot.field) else f"[{name}]"


def _unknown_key(path: Sequence[str | int], tables: dict[str, Any]) -> Problem:
    spot, key = spot_at(path[:-1]), str(path[-1])
    assert spot.table is not None
    where = (*spot.path, key)
    kinds = {} if spot.field is None else kinds_in(spot.field.annotation, spot.field.metadata)
    goes_with = [kind for kind, table in kinds.items() if key in table.model_fields]
    if goes_with:
        found = f"{in_words(value_at(tables, where))} with kind {in_words(path[-2])}"
        allowed = f"{key} only with kind {' or '.join(map(in_words, goes_with))}"
        return Problem(place(where), found, allowed)
    own = tuple(spot.table.model_fields)
    nearest = nearest_spelling(key, own) or _nearest_one_table_down(key, spot.table)
    return Problem(place(where), "an unknown key", listed(own), nearest)


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
