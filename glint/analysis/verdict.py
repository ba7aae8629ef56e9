"""Which of several scenes wins on what, in figures and in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from glint.analysis.definitions import definition_of, definitions, shown
from glint.analysis.measure import Measures
from glint.analysis.strings_seen import seen_in_words


class Win(NamedTuple):
    """The best of several at one measure. tied: others within the two figures' own errors."""

    key: str
    number: int
    value: float
    tied: tuple[int, ...]


def counted() -> list[str]:
    """Keys of the measures that have a winner, in the order in which winners are named."""
    found = [(one.column or 0, one.key) for one in definitions() if one.wins]
    return [key for _, key in sorted(found)]


def wins(measured: Sequence[Measures]) -> list[Win]:
    """The best at each counted measure that at least two define. What cannot be glued wins none."""
    found = []
    for key in counted():
        values = {
            number: one.figures[key]
            for number, one in enumerate(measured)
            if key in one.figures and not math.isnan(one.figures[key].mean) and not one.unglued
        }
        if len(values) < 2:
            continue
        sign = -1.0 if definition_of(key).better == "less" else 1.0
        best = max(values, key=lambda number: sign * values[number].mean)
        margin = values[best].error * abs(values[best].mean)
        tied = tuple(
            number
            for number, figure in values.items()
            if number != best
            and abs(figure.mean - values[best].mean) <= margin + figure.error * abs(figure.mean)
        )
        if len(tied) < len(values) - 1:
            found.append(Win(key, best, values[best].mean, tied))
    return found


def in_plain_words(measured: Sequence[Measures]) -> str:
    """One paragraph of the `sentences`, and of those on strings."""
    return " ".join([*sentences(measured), *on_strings(measured)])


def on_strings(measured: Sequence[Measures]) -> list[str]:
    """Of each candidate with strings, whether their light will be seen."""
    told = [(one, seen_in_words(one)) for one in measured]
    return [f"{_name(one)}: {words}" for one, words in told if words]


def sentences(measured: Sequence[Measures]) -> list[str]:
    """Each candidate with what it wins, the one that wins most first; then those that win nothing,
    and those that cannot be glued. At least one sentence.
    """
    if len(measured) < 2:
        return ["One scene alone wins nothing: give several, or candidates.", *_unglued(measured)]
    found = wins(measured)
    if not found:
        nobody = "No candidate is better than the others at anything that is counted here."
        return [nobody, *_unglued(measured)]
    by_number: dict[int, list[Win]] = {}
    for win in found:
        by_number.setdefault(win.number, []).append(win)
    told = []
    for number in sorted(by_number, key=lambda number: (-len(by_number[number]), number)):
        parts = [_part(win, measured) for win in by_number[number]]
        told.append(f"{_name(measured[number])} {_joined(parts)}.")
    nothing = [
        _name(one) for n, one in enumerate(measured) if n not in by_number and not one.unglued
    ]
    if nothing and len(nothing) <= 4:
        verb = "comes" if len(nothing) == 1 else "come"
        told.append(f"{_joined(nothing)} {verb} first at none of these.")
    elif nothing:
        told.append(f"The other {len(nothing)} come first at none of these.")
    return told + _unglued(measured)


def _unglued(measured: Sequence[Measures]) -> list[str]:
    """A sentence on each that cannot be glued, so that it is not chosen for its light."""
    return [
        f"{_name(one)} cannot be glued as it is: {'; '.join(one.unglued)}."
        for one in measured
        if one.unglued
    ]


def _part(win: Win, measured: Sequence[Measures]) -> str:
    measure = definition_of(win.key)
    unit = f" {measure.unit}" if measure.unit else ""
    unit = unit if measure.said is None else measure.said
    text = f"{measure.wins} ({shown(win.key, win.value):.3g}{unit}"
    if win.tied:
        names = [_name(measured[number]) for number in win.tied[:2]]
        more = [f"{len(win.tied) - 2} more"] if len(win.tied) > 2 else []
        text += f", level with {_joined([*names, *more])}"
    return f"{text})"


def _joined(items: Sequence[str]) -> str:
    """As "one, two and three"."""
    *rest, last = items
    return f"{', '.join(rest)} and {last}" if rest else last


def _name(measures: Measures) -> str:
    return f"“{measures.title}”"
