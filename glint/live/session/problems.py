"""Problems with the key that they belong to, and a remedy where there is an obvious one."""

from __future__ import annotations

import re
from typing import Any

from glint.errors import Problem, in_words
from glint.schema.describe import bounds_of, spot_at

_TABLE = re.compile(r"\[\[(\w+)\]\] (\d+)(?: (.+))?|\[(\w+)\](?: (.+))?|(\w+)")


def problem_facts(problem: Problem) -> dict[str, Any]:
    """A problem as the page is told it."""
    facts: dict[str, Any] = {
        "where": problem.where,
        "found": problem.found,
        "allowed": problem.allowed,
        "text": str(problem) if problem.allowed else problem.found,
    }
    steps = path_of(problem.where)
    if steps:
        facts["path"] = written(steps)
        remedy = _remedy(problem, steps)
        if remedy is not None:
            facts["remedy"] = {
                "words": f"use {in_words(remedy)}",
                "changes": {facts["path"]: remedy},
            }
    return facts


def path_of(where: str) -> list[str | int]:
    """The path behind what a message says of a place: "[[ball]] 2 hang.by" is ball, 1, hang, by.

    Empty where it is no key: a line of a file, or the whole.
    """
    found = _TABLE.fullmatch(where)
    if found is None:
        return []
    rows, number, rest, table, more, key = found.groups()
    steps: list[str | int] = [rows or table or key]
    if rows:
        steps.append(int(number) - 1)
    for word in re.split(r"[. ]", rest or more or ""):
        if word:
            steps.append(int(word) - 1 if word.isdecimal() else word)
    return steps


def written(steps: list[str | int]) -> str:
    """A path as an edit has it: "ball[1].hang.by"."""
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps)
    return text.removeprefix(".")


def _remedy(problem: Problem, steps: list[str | int]) -> Any:
    """The nearest spelling, or the end of the range that was overstepped."""
    if problem.nearest is not None:
        return problem.nearest
    spot = spot_at(steps)
    if not spot.found or spot.field is None or spot.tables:
        return None
    try:
        value = float(problem.found)
    except ValueError:
        return None
    bounds = bounds_of(spot.field)
    if value > bounds.most:
        return bounds.most
    return bounds.least if value < bounds.least and not bounds.above else None
