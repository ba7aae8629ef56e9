"""Lengths in inches and feet: the one rule by which they become metres and millimetres.

A key of a length that the model knows as `edge_mm` or `height_m` may also be written `edge_in`,
`edge_ft`, `height_in` or `height_ft`. The reader puts the metric key in its place before anything
is checked, so nothing else in the program knows of other units; what is wrong is then put into the
key and the unit that were written.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, MutableMapping
from typing import Any, NamedTuple

from glint.errors import Problem, SceneError, in_words, place
from glint.files.table import Table
from glint.schema.describe import tables_in

METRES = {"in": 0.0254, "ft": 0.3048}
"""Exactly, by the international yard and pound agreement of 1959."""

MILLIMETRES = {"in": 25.4, "ft": 304.8}
"""The same; of their own, so that inches become whole tenths, not 76.19999999999999."""

NAMES = {"in": "inches", "ft": "feet"}

_PER = {"m": METRES, "mm": MILLIMETRES}
_DEEPEST = 3
"""Lists within each other in which numbers are lengths: one more than any key takes."""

_LARGEST = 1e9  # beyond it no length is right, and a whole number may be too long for a float

_N = r"(-?\d+(?:\.\d+)?(?:e[+-]?\d+)?)"
_RANGE = re.compile(
    rf"(of|in) (metres|millimetres)((?:, each)? (?:from|above)) {_N}( to|, at most) {_N}"
)
_WORD = re.compile(r"\bin (metres|millimetres)\b")
_QUANTITY = re.compile(rf"\b(least |than |most )?{_N} (mm|m)\b")
_EQUAL = re.compile(rf"\b(\w+)_(mm|m) = {_N}")


class Written(NamedTuple):
    """One length that was not written in metres or millimetres.

    where: of the metric key in messages; said: of the key that was written. key: the metric one,
    unit: "in" or "ft". value: as written, metric: converted.
    """

    where: str
    said: str
    key: str
    unit: str
    value: Any
    metric: Any

    @property
    def stem(self) -> str:
        """The key without its unit."""
        return self.key.rpartition("_")[0]


def is_length(key: str) -> bool:
    """Whether a key of the model is a length; haze_per_m is none."""
    stem, _, unit = key.rpartition("_")
    return bool(stem) and unit in _PER and not stem.endswith("_per")


def metric_key(key: str, known: Mapping[str, Any]) -> str | None:
    """The metric key that a key in inches or feet stands for, if it is one of those known."""
    stem, _, unit = key.rpartition("_")
    both = (f"{stem}_{metric}" for metric in _PER)
    return next((one for one in both if unit in NAMES and one in known and is_length(one)), None)


def spellings(known: Iterable[str], unit: str) -> list[str]:
    """Keys that take the place of all lengths among those known, in a unit."""
    return [f"{key.rpartition('_')[0]}_{unit}" for key in known if is_length(key)]


class Lengths:
    """The tables of a file with all lengths metric, and how each was written.

    tables: as the model takes them; those given are left as they are. problems: lengths that were
    given twice.
    """

    def __init__(self, given: dict[str, Any], root: type[Table]) -> None:
        self.problems: list[Problem] = []
        self.written: dict[str, Written] = {}
        self.tables = self._metric(given, (root,), ())

    def _metric(
        self, given: dict[str, Any], kinds: tuple[type[Table], ...], path: tuple[str | int, ...]
    ) -> dict[str, Any]:
        known = {key: field for kind in kinds for key, field in kind.model_fields.items()}
        found: dict[str, Any] = {}
        for key, value in given.items():
            metric = None if key in known else metric_key(str(key), known)
            if metric is not None:
                self._convert(given, found, (*path, key), metric)
            elif key in known and (inner := tables_in(known[key].annotation)):
                found[key] = self._inside(value, inner, (*path, key))
            else:
                found[key] = value
        return found

    def _inside(self, value: Any, kinds: tuple[type[Table], ...], path: tuple) -> Any:
        if isinstance(value, dict):
            return self._metric(value, kinds, path)
        if isinstance(value, list | tuple):
            return [
                self._metric(row, kinds, (*path, i)) if isinstance(row, dict) else row
                for i, row in enumerate(value)
            ]
        return value

    def _convert(
        self, given: dict[str, Any], found: dict[str, Any], path: tuple, metric: str
    ) -> None:
        key, value = path[-1], given[path[-1]]
        other = next((k for k in given if k != key and (k == metric or k in _others(key))), None)
        if other is not None and (other == metric or metric in found):
            told = f"{in_words(value)} beside {other}"
            self.problems.append(Problem(place(path), told, f"only one of {other} and {key}"))
            return
        unit = key.rpartition("_")[2]
        found[metric] = converted(value, _PER[metric.rpartition("_")[2]][unit])
        where = place((*path[:-1], metric))
        self.written[where] = Written(where, place(path), metric, unit, value, found[metric])

    def told(self, problem: Problem) -> Problem:
        """A problem with keys and numbers as they were written."""
        if not self.written:
            return problem
        mine = self.written.get(problem.where)
        allowed = _EQUAL.sub(lambda match: self._equal(match, mine), problem.allowed)
        if mine is None:
            return problem._replace(allowed=allowed)
        # The value itself stands there without a unit; what was computed from it with one.
        value = re.compile(rf"^{re.escape(in_words(mine.metric))}(?! mm?\b)")
        found = value.sub(lambda _: in_words(mine.value), in_unit(problem.found, mine.unit))
        allowed = in_unit(allowed, mine.unit)
        for one in self.written.values():
            allowed = re.sub(rf"\b{one.key}\b(?! =)", f"{one.stem}_{one.unit}", allowed)
        return problem._replace(where=mine.said, found=found, allowed=allowed)

    def _equal(self, match: re.Match[str], mine: Written | None) -> str:
        """As "panel_edge_mm = 32", in the unit that it was written in, or else, in brackets, in
        that of the key that the problem is with."""
        stem, metric, number = match.groups()
        for one in self.written.values():
            if one.key == f"{stem}_{metric}" and in_words(one.metric) == number:
                return f"{stem}_{one.unit} = {in_words(one.value)}"
        if mine is None:
            return match[0]
        return f"{match[0]} ({_number(number, metric, mine.unit)} {mine.unit})"

    def told_error(self, error: SceneError) -> SceneError:
        """An error with keys and numbers as they were written."""
        return SceneError(error.file, map(self.told, error.problems), error.more)


def converted(value: Any, factor: float, depth: int = _DEEPEST) -> Any:
    """A length, or lists of them, times a factor; what is no number is left for the check."""
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        # Not beyond, as a whole number may be too long for a float.
        return value * factor if not abs(value) > _LARGEST else value
    if isinstance(value, list | tuple) and depth:
        return [converted(one, factor, depth - 1) for one in value]
    return value


def put(table: MutableMapping[str, Any], key: str, value: Any) -> None:
    """Set a key of a table as it was written; a length that stands there in another unit is set in
    that one, under its own key. None takes it away, in every unit."""
    there = [one for one in (key, *_others(key)) if one in table]
    if value is None:
        for one in there:
            del table[one]
        return
    if not there or there[0] == key:
        table[key] = value
        return
    old = there[0]
    table[old] = _between(value, key.rpartition("_")[2], old.rpartition("_")[2])


def _others(key: str) -> list[str]:
    """The other spellings of a length's key, as far as a key tells them by itself."""
    stem, _, unit = key.rpartition("_")
    if not stem or stem.endswith("_per") or unit not in (*_PER, *NAMES):
        return []
    units = NAMES if unit in _PER else [one for one in (*NAMES, *_PER) if one != unit]
    return [f"{stem}_{one}" for one in units]


def _between(value: Any, unit: str, other: str) -> Any:
    """Lengths in one unit put into another, with the fewest digits that give them again; where no
    float does, with one that is off by its last bit."""
    if isinstance(value, list | tuple):
        return [_between(one, unit, other) for one in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    base = other if other in _PER else unit if unit in _PER else "m"
    factors = {base: 1.0, **_PER[base]}
    metric = value * factors[unit]
    exact = metric / factors[other]
    tried = [round(exact, digits) for digits in range(1, 15)]
    tried += [exact, math.nextafter(exact, math.inf), math.nextafter(exact, -math.inf)]
    return next((one for one in tried if one * factors[other] == metric), exact)


def in_unit(text: str, unit: str) -> str:
    """Words on what is allowed, their metres and millimetres in another unit. Limits are rounded
    to the side on which they hold."""

    def span(match: re.Match[str]) -> str:
        lead, metric, start, least, to, most = match.groups()
        short = "m" if metric == "metres" else "mm"
        low, high = _number(least, short, unit, 1), _number(most, short, unit, -1)
        return f"{lead} {NAMES[unit]}{start} {low}{to} {high}"

    def quantity(match: re.Match[str]) -> str:
        lead, number, metric = match.groups()
        side = {"least ": 1, "than ": -1, "most ": -1}.get(lead, 0)
        return f"{lead or ''}{_number(number, metric, unit, side)} {unit}"

    text = _WORD.sub(f"in {NAMES[unit]}", _RANGE.sub(span, text))
    return _QUANTITY.sub(quantity, text)


def _number(metric: str, short: str, unit: str, side: int = 0) -> str:
    """A number of m or mm in another unit: a limit to six digits, rounded down for the side -1 and
    up for 1; anything else to four."""
    value = float(metric) / _PER[short][unit]
    if value == 0.0:
        return "0"
    digits = (5 if side else 3) - math.floor(math.log10(abs(value)))
    shown = round(value, digits)
    if side and (shown - value) * side < 0.0 and abs(shown - value) > 1e-12 * abs(value):
        shown += side * 10.0**-digits
    return f"{shown:.6g}"
