"""Which of several scenes wins on what, in figures and in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from glint.study.measure import Measures
from glint.study.words import definition_of, shown

COUNTED = (
    "spots",
    "spots_per_tile",
    "spots_per_gram",
    "unevenness",
    "unevenness_of_turn",
    "gap_deg",
    "cover_share",
    "swept_share",
    "brightness_median_lux",
    "flashing_share",
)
"""Measures that have a winner."""

PHRASES = {
    "spots": "throws the most visible spots",
    "spots_per_tile": "makes the most of each tile",
    "spots_per_gram": "makes the most of its weight",
    "unevenness": "spreads its spots most evenly at an instant",
    "unevenness_of_turn": "spreads them most evenly over a turn",
    "gap_deg": "leaves the smallest dark gap",
    "cover_share": "lights most overhead at an instant",
    "swept_share": "sweeps most overhead in a turn",
    "brightness_median_lux": "has the brightest spots",
    "flashing_share": "flashes least",
}


class Win(NamedTuple):
    """The best of several at one measure. tied: others within the two figures' own errors."""

    key: str
    number: int
    value: float
    tied: tuple[int, ...]


def wins(measured: Sequence[Measures]) -> list[Win]:
    """The winner of each counted measure that at least two define."""
    found = []
    for key in COUNTED:
        values = {
            number: one.figures[key]
            for number, one in enumerate(measured)
            if key in one.figures and not math.isnan(one.figures[key].mean)
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
    """One paragraph: each candidate with what it wins, the one that wins most first."""
    if len(measured) < 2:
        return "One scene alone wins nothing: give several, or candidates."
    found = wins(measured)
    if not found:
        return "No candidate is better than the others at anything that is counted here."
    by_number: dict[int, list[Win]] = {}
    for win in found:
        by_number.setdefault(win.number, []).append(win)
    sentences = []
    for number in sorted(by_number, key=lambda number: (-len(by_number[number]), number)):
        parts = [_part(win, measured) for win in by_number[number]]
        joined = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
        sentences.append(f"{_name(measured[number])} {joined}.")
    nothing = [_name(one) for n, one in enumerate(measured) if n not in by_number]
    if nothing and len(nothing) <= 4:
        verb = "comes" if len(nothing) == 1 else "come"
        sentences.append(f"{' and '.join(nothing)} {verb} first at none of these.")
    elif nothing:
        sentences.append(f"The other {len(nothing)} come first at none of these.")
    return " ".join(sentences)


def _part(win: Win, measured: Sequence[Measures]) -> str:
    unit = definition_of(win.key).unit
    value = f"{shown(win.key, win.value):.3g}{'' if unit in ('', '°', '%') else ' '}{unit}"
    text = f"{PHRASES[win.key]} ({value}"
    if win.tied:
        names = [_name(measured[number]) for number in win.tied[:2]]
        more = len(win.tied) - len(names)
        text += f", level with {' and '.join(names)}{f' and {more} more' if more else ''}"
    return f"{text})"


def _name(measures: Measures) -> str:
    return f"“{measures.title}”"
