"""What pydantic found wrong with the tables of a scene, as problems in plain English."""

from __future__ import annotations

from collections.abc import Sequence
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
from glint.files.colours import colour_code
from glint.files.table import Table
from glint.schema.describe import (
    Spot,
    allowed_at,
    choices_of,
    holds_many,
    kind_of,
    spot_at,
    tables_in,
)
from glint.schema.lengths import NAMES, spellings
from glint.schema.tables import SceneFile

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
            problem = _unknown_key(path, tables, root)
        elif detail["type"] == "missing" and spot.found:
            problem = _missing(spot, path, root)
        elif detail["type"].startswith("union_tag"):
            problem = _no_such_kind(spot, tables)
        else:
            problem = _unfit(spot, tables)
        if root is not SceneFile:
            which = (spot.tables[0].kind_key,) if detail["type"].startswith("union_tag") else ()
            problem = problem._replace(where=path_in_words((*(spot.path or path), *which)))
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
    found = value_at(tables, spot.path)
    problem = problem_at(spot.path, found, allowed_at(spot), choices)
    if isinstance(found, str) and spot.table is not None:
        problem = problem._replace(nearest=spot.table.nearest_name(found))
    if isinstance(found, list) and choices:  # of colours
        wrong = (one for one in found if isinstance(one, str) and colour_code(one) == one)
        near = (nearest_spelling(one, choices) for one in wrong)
        problem = problem._replace(nearest=next(filter(None, near), None))
    return problem._replace(where=_place(spot))


def _missing(spot: Spot, path: Sequence[str | int], root: type[Table]) -> Problem:
    owner = spot_at(path[:-1], root).table
    allowed = allowed_at(spot)
    if owner is not None and owner.kind_key:
        allowed += f"; {owner.kind_key} = {in_words(kind_of(owner))} needs it"
    return Problem(_place(spot), "nothing", allowed)


def _place(spot: Spot) -> str:
    """As `place`, but a whole table of the file is told by its header."""
    name = place(spot.path)
    if spot.field is None or spot.table is None or len(spot.path) > 1:
        return name
    return f"[[{name}]]" if holds_many(spot.field) else f"[{name}]"


def _no_such_kind(spot: Spot, tables: dict[str, Any]) -> Problem:
    """The key that says which of several tables stands there is missing or says nothing known."""
    kinds = [kind for table in spot.tables if (kind := kind_of(table))]
    path = (*spot.path, spot.tables[0].kind_key)
    found = value_at(tables, spot.path).get(path[-1])
    return problem_at(path, found, listed(kinds), kinds)


def path_in_words(path: Sequence[str | int]) -> str:
    """As "shape.steps[0].do", rows from 0."""
    parts = [f"[{part}]" if isinstance(part, int) else f".{part}" for part in path]
    return "".join(parts).removeprefix(".")


def _unknown_key(path: Sequence[str | int], tables: dict[str, Any], root: type[Table]) -> Problem:
    spot = spot_at(path[:-1], root)
    table = spot.table
    assert table is not None
    key, own = str(path[-1]), tuple(table.model_fields)
    whole = (*spot.path, key)
    others = tables_in(spot.field.annotation) if table.kind_key and spot.field else ()
    owners = [kind for one in others if key in one.model_fields and (kind := kind_of(one))]
    if owners:
        this = f"{table.kind_key} = {in_words(kind_of(table))}"
        allowed = f"{key} only with {table.kind_key} = {' or '.join(map(in_words, owners))}"
        return Problem(place(whole), f"{in_words(value_at(tables, whole))} with {this}", allowed)
    unit = key.rpartition("_")[2]
    known = (*own, *spellings(own, unit)) if unit in NAMES else own
    nearest = nearest_spelling(key, known) or _nearest_one_table_down(key, table)
    return Problem(place(whole), "an unknown key", listed(own), nearest)


def _nearest_one_table_down(key: str, table: type[Table]) -> str | None:
    """A dotted key whose last part is near, as "motion.rpm" for an rpm that stands too high."""
    inner = {
        below: f"{name}.{below}"
        for name, field in table.model_fields.items()
        if not holds_many(field)
        for child in tables_in(field.annotation)
        for below in child.model_fields
    }
    near = nearest_spelling(key, inner)
    return inner[near] if near else None
