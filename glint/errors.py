"""The errors that a user may meet: one clear line a problem, and never a traceback."""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Iterable, Sequence
from types import UnionType
from typing import NamedTuple

LONGEST_QUOTE = 60
"""Characters of a found value or key that a message shows."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


class GlintError(Exception):
    """Something the user can put right; its text is one clear line."""

    exit_status = 1


class UsageError(GlintError):
    """A value on the command line that cannot be used."""

    exit_status = 2


class Problem(NamedTuple):
    """One thing that is wrong with a file.

    where: the table and key, as "[[ball]] 2 hang.by", or "line 7", or "" for the whole file
    found: what stands there, in words
    allowed: what may stand there, in words
    nearest: the valid spelling nearest to what was found
    """

    where: str
    found: str
    allowed: str
    nearest: str | None = None

    def __str__(self) -> str:
        text = f"found {self.found}; allowed: {self.allowed}"
        if self.where:
            text = f"{self.where}: {text}"
        if self.nearest is not None:
            text = f"{text}; did you mean {in_words(self.nearest)}?"
        return text


class MissingError(GlintError, KeyError):
    """A name that a mapping does not hold."""

    exit_status = 2
    __str__ = Exception.__str__


class SceneError(GlintError):
    """A scene file that cannot be used: every problem in it, one line each.

    more: how many further problems there are that are not told one by one.
    """

    exit_status = 2

    def __init__(self, file: str, problems: Iterable[Problem], more: int = 0) -> None:
        self.file = file
        self.problems = list(problems)
        self.more = more
        name = printable(file)
        lines = [f"{name}: {problem}" for problem in self.problems]
        if more:
            lines.append(f"{name}: and {more} more {'problem' if more == 1 else 'problems'}")
        super().__init__("\n".join(lines))


class TableError(GlintError):
    """Something in one table that only shows when it is built, told without file and table.

    key: within the ball's or lamp's table, as "shape.steps" or "file". found, allowed: in words,
    nearest: a spelling, as in Problem. `problem_of` adds the table.
    """

    exit_status = 2

    def __init__(self, key: str, found: str, allowed: str, nearest: str | None = None) -> None:
        self.key = key
        self.found = found
        self.allowed = allowed
        self.nearest = nearest
        super().__init__(str(Problem(key, found, allowed, nearest)))


class ShapeError(TableError):
    """A shape that cannot be built."""


class LampError(TableError):
    """A lamp that cannot be built."""


def problem_of(path: Sequence[str | int], error: TableError) -> Problem:
    """The problem that a table's error is, in a scene file; path: of the table, as ("ball", 1)."""
    return Problem(f"{place(path)} {error.key}", error.found, error.allowed, error.nearest)


def problem_at(
    path: Sequence[str | int],
    found: object,
    allowed: str,
    choices: Iterable[str] = (),
) -> Problem:
    """The problem with a value of a scene file.

    path: keys and places counted from 0, as ("ball", 1, "hang", "height_m"). found: the value
    itself. allowed: in words. choices: spellings of which the nearest to a found text is offered.
    """
    nearest = nearest_spelling(found, choices) if isinstance(found, str) else None
    return Problem(place(path), in_words(found), allowed, nearest)


def place(path: Sequence[str | int]) -> str:
    """A path in a scene file as the maker would say it.

    ("ball", 1, "hang", "by") is "[[ball]] 2 hang.by"; ("room", "radius_m") is "[room] radius_m";
    a key outside every table stands alone.
    """
    if not path:
        return ""
    parts = [str(part + 1) if isinstance(part, int) else _key(part) for part in path]
    if len(path) == 1:
        return parts[0]
    if isinstance(path[1], int):
        head, start = f"[[{parts[0]}]] {parts[1]}", 2
    else:
        head, start = f"[{parts[0]}]", 1
    text = ""
    for part, raw in zip(parts[start:], path[start:], strict=True):
        joint = "." if text and isinstance(raw, str) and not text[-1].isdigit() else " "
        text += f"{joint}{part}"
    return head + text


def in_words(value: object) -> str:
    """A value of a scene file as it would be written there, on one line and cut if it is long."""
    match value:
        case None:
            text = "nothing"
        case bool():
            text = "true" if value else "false"
        case float() if not math.isfinite(value):
            text = "nan" if math.isnan(value) else ("inf" if value > 0 else "-inf")
        case float():
            text = f"{value:.12g}"
        case int() if abs(value) >= 10**LONGEST_QUOTE:
            text = "a very large whole number"
        case str():
            text = json.dumps(value[: LONGEST_QUOTE * 2], ensure_ascii=False)
        case dict():
            text = "a table"
        case list() | tuple() if value and all(isinstance(item, dict) for item in value):
            text = f"a list of {len(value)} {'table' if len(value) == 1 else 'tables'}"
        case list() | tuple() if any(isinstance(item, dict | list | tuple) for item in value):
            text = f"a list of {len(value)} values, lists or tables among them"
        case list() | tuple():
            shown = ", ".join(in_words(item) for item in value[:6])
            text = f"[{shown}, ...] ({len(value)} values)" if len(value) > 6 else f"[{shown}]"
        case _:
            text = str(value)
    return printable(text, LONGEST_QUOTE * (4 if isinstance(value, list | tuple) else 1))


def printable(text: str, longest: int = 1000) -> str:
    """A text that stays on one line and does nothing to a terminal."""
    clean = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text[:longest])
    return clean if len(text) <= longest else f"{clean}..."


def nearest_spelling(found: str, choices: Iterable[str]) -> str | None:
    """The choice nearest to what was found, or None if none is near.

    Capitals, and hyphens or underscores for spaces, count as the same letter.
    """
    known = {_plain(choice): choice for choice in choices}
    near = difflib.get_close_matches(_plain(found[:200]), known, n=1, cutoff=0.6)
    return known[near[0]] if near else None


def require_choice(
    what: str, value: object, allowed: Iterable[str], error: type[GlintError] = UsageError
) -> str:
    """The value, where it is one of those allowed; else raises an error with the nearest.

    what: whose value it is, as "view".
    """
    choices = tuple(allowed)
    if isinstance(value, str) and value in choices:
        return value
    near = nearest_spelling(value, choices) if isinstance(value, str) else None
    raise error(str(Problem(what, in_words(value), listed(choices), near)))


def require_kind(what: str, value: object, kind: type | UnionType, allowed: str) -> None:
    """Raises UsageError for a value of another kind; allowed: how it is made, in words."""
    if not isinstance(value, kind):
        raise UsageError(str(Problem(what, in_words(value), allowed)))


def require_number(
    what: str, value: object, least: float, most: float, whole: bool = False
) -> None:
    """Raises UsageError for a value that is no number, not whole or out of range."""
    fits = isinstance(value, int if whole else int | float) and not isinstance(value, bool)
    if not fits or not least <= value <= most:  # pyright: ignore[reportOperatorIssue]
        kind = "a whole number" if whole else "a number"
        bounds = f"{kind} from {in_words(least)} to {in_words(most)}"
        raise UsageError(str(Problem(what, in_words(value), bounds)))


def listed(choices: Iterable[str]) -> str:
    """Choices in quotation marks, with commas between."""
    return ", ".join(in_words(choice) for choice in choices)


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace("-", " ").split())


def _key(key: str) -> str:
    return printable(key, LONGEST_QUOTE) if _BARE_KEY.fullmatch(key) else in_words(key)
