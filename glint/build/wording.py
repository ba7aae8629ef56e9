"""The sheet's figures in words: units, roundings, plurals and lists."""

from __future__ import annotations

import math
from collections.abc import Iterable
from string import ascii_uppercase

from glint.build.core import Rings
from glint.build.inventory import Kind
from glint.build.parts import Row
from glint.shape.face_names import counted, face_name
from glint.shape.joints import AngleKind

_FLAT = 1e-6  # radians from half a turn


def millimetres(length: float) -> str:
    """Metres as millimetres: a tenth where it shows."""
    return f"{1e3 * length:.1f}".removesuffix(".0") + " mm"


def grams(mass: float) -> str:
    """Kilograms as grams, or from one upward as kilograms."""
    return f"{mass:.2f} kg" if mass >= 0.9995 else f"{1e3 * mass:.0f} g"


def square_centimetres(area: float) -> str:
    """Square metres as square centimetres."""
    return f"{1e4 * area:,.0f}\u00a0cm²"


def time_in_words(hours: float) -> str:
    """Hours as minutes, as hours and minutes, or from two days upward as days."""
    minutes = round(60 * hours)
    if minutes < 60:
        return f"{minutes} min"
    if minutes >= 48 * 60:
        return f"{hours / 24:.1f} days".replace(".0 days", " days")
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes % 60 else f"{minutes // 60} h"


def degrees(angle: float, decimals: int = 2) -> str:
    """Radians as degrees, below zero with a true minus."""
    return f"{math.degrees(angle):.{decimals}f}°".replace("-", "−")


def kind_in_words(kind: Kind) -> str:
    """As "square, 25 mm" or "triangle, 61.2 × 58.3 × 58.3 mm"."""
    lengths = [millimetres(side).removesuffix(" mm") for side in kind.sides]
    shown = lengths[0] if len(set(lengths)) == 1 else " × ".join(lengths)
    return f"{kind.name}, {shown} mm"


def parts_in_words(of: Iterable[tuple[str, int]]) -> str:
    """As "5 × A and 10 squares"."""
    each = [f"{n} × {what}" if what.isupper() else counted(n, what) for what, n in of]
    return joined(each)


def joined(items: Iterable[str]) -> str:
    """As "one, two and three"."""
    *rest, last = items
    return f"{', '.join(rest)} and {last}" if rest else last


def rings_in_words(row: Rings) -> str:
    """As "2 rings of 71 at 26.4 mm" or "1 ring of 72 on the equator"."""
    where = f"at {millimetres(row.away)}" if row.away else "on the equator"
    return f"{counted(row.number, 'ring')} of {row.tiles} {where}"


def edge_in_words(kind: AngleKind, regular: bool = True) -> str:
    """Between what and how it bends: "triangle and square, ridge". regular: the panels are."""
    one, other = (face_name(n) if regular or n == 3 else f"{n}-sided" for n in kind.sides)
    if abs(kind.angle - math.pi) < _FLAT:
        bend = "flat"
    else:
        bend = "ridge" if kind.angle < math.pi else "valley"
    return f"{one} and {other}, {bend}"


def numbers_in_words(numbers: Iterable[str]) -> str:
    """Panel numbers or tags in their order, three or more in a row as one range: "A1–A5, 7, 9"."""
    runs: list[list[tuple[str, int]]] = []
    for number in numbers:
        digits = number.lstrip(ascii_uppercase)
        one = number.removesuffix(digits), int(digits)
        if runs and runs[-1][-1] == (one[0], one[1] - 1):
            runs[-1].append(one)
        else:
            runs.append([one])
    told = []
    for run in runs:
        each = [f"{letters}{digits}" for letters, digits in run]
        told += [f"{each[0]}–{each[-1]}"] if len(each) > 2 else each
    return ", ".join(told)


def rows_in_words(rows: Iterable[Row]) -> list[tuple[str, str]]:
    """Rows from below, each what it is of, and which: ("5 × A", "A1–A5")."""
    return [(parts_in_words(row.of), numbers_in_words(row.pieces)) for row in rows]
