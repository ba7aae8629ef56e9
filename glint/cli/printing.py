"""Figures on standard output: a table on a terminal, tab-separated text elsewhere, or JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import click

from glint.errors import printable

DIGITS = 3
"""Significant digits of a figure on a terminal; tab-separated text has six, JSON all."""

FAINTEST = 0.0001
"""Figures below this are not told apart on a terminal."""

LONG_NAME = 16
"""Characters of a name that stays on one line."""

GAP = 2
"""Characters between columns on a terminal."""


class Column(NamedTuple):
    """One column of figures.

    key: its name in tab-separated text, with its unit; heading and unit: on a terminal
    decimals: on a terminal; if none are given, DIGITS significant digits are shown
    spare: left out on a terminal that is too narrow for all
    """

    key: str
    heading: str
    unit: str = ""
    decimals: int | None = None
    spare: bool = False


def print_json(found: Any) -> None:
    """Print figures as one line of JSON."""
    only_ascii = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    click.echo(json.dumps(found, ensure_ascii=only_ascii))


def print_table(
    columns: Sequence[Column], rows: Iterable[Sequence[object]], title: str = ""
) -> None:
    """Print rows of figures and names; the title only on a terminal."""
    if sys.stdout.isatty():
        _on_a_terminal(columns, list(rows), title)
        return
    click.echo("\t".join(column.key for column in columns))
    for row in rows:
        click.echo("\t".join(_plain(cell) for cell in row))


def rounded(value: float, digits: int = DIGITS) -> str:
    """A figure of so many significant digits, without an exponent; the faintest as "<0.0001"."""
    if 0.0 < abs(value) < FAINTEST:
        return f"<{FAINTEST}"
    text = f"{value:.{digits}g}"
    return f"{float(text):.0f}" if "e" in text else text


def _plain(cell: object) -> str:
    return f"{cell:.6g}" if isinstance(cell, float) else printable(str(cell))


def _on_a_terminal(columns: Sequence[Column], rows: Sequence[Sequence[object]], title: str) -> None:
    """A table that never cuts a figure short: one too wide makes the terminal wrap its lines.

    Long names are broken between words, and a name that is the same in every row goes into the
    title.
    """
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    parts = []
    for number, column in enumerate(columns):
        values = [row[number] for row in rows]
        if len(rows) > 1 and isinstance(values[0], str) and len(set(values)) == 1:
            title += f", {column.heading} {printable(values[0])}"
        else:
            parts.append(_Part(column, values))
    console = Console(highlight=False)
    parts = _fitted(parts, console.width)
    console.width = max(console.width, _least(parts))
    table = Table(
        box=box.SIMPLE_HEAD, title=Text(title), title_justify="left", padding=(0, 1, 0, 0)
    )
    table.show_edge = table.pad_edge = False
    for part, width in zip(parts, _widths(parts, console.width), strict=True):
        justify = "right" if part.figures else "left"
        table.add_column(Text(part.heading), justify=justify, width=width)
    for cells in zip(*(part.cells for part in parts), strict=True):
        table.add_row(*map(Text, cells))
    console.print(table)


def _fitted(parts: list[_Part], width: int) -> list[_Part]:
    """The columns that a terminal has room for: of those that may be left out the last goes first,
    and then short names and headings are broken between words as well."""
    while _least(parts) > width and any(part.column.spare for part in parts):
        last = max(n for n, part in enumerate(parts) if part.column.spare)
        parts = [*parts[:last], *parts[last + 1 :]]
    return [part.broken() for part in parts] if _least(parts) > width else parts


def _least(parts: Sequence[_Part]) -> int:
    """Characters of the narrowest table with these columns."""
    return sum(part.narrowest + GAP for part in parts) - GAP


def _widths(parts: Sequence[_Part], room: int) -> list[int]:
    """Characters of each column: at least its narrowest, and of what is left a fair share.

    Left to itself the table takes no account of what a column needs at least when it shrinks the
    others, and ends up wider than the terminal.
    """
    left = room - sum(part.narrowest + GAP for part in parts) + GAP
    wanted = [part.widest - part.narrowest for part in parts]
    share = min(1.0, left / (sum(wanted) or 1))
    return [part.narrowest + int(share * more) for part, more in zip(parts, wanted, strict=True)]


class _Part:
    """One column on a terminal: its cells as they are shown, and how wide it must be."""

    def __init__(self, column: Column, values: Sequence[object], whole: int = LONG_NAME) -> None:
        """whole: characters of a text that is not broken between words."""
        self.column, self.values = column, values
        self.figures = all(isinstance(value, int | float) for value in values)
        self.heading = f"{column.heading}\n{column.unit}" if column.unit else column.heading
        self.cells = [_shown(column, value) for value in values]
        lines = (*self.heading.split("\n"), *self.cells)
        self.narrowest = max(len(w) for line in lines for w in _unbroken(line, whole))
        self.widest = max(len(line) for line in lines)

    def broken(self) -> _Part:
        """The same column, everything broken between words."""
        return _Part(self.column, self.values, whole=0)


def _unbroken(text: str, whole: int) -> list[str]:
    return (text.split() or [""]) if len(text) > whole else [text]


def _shown(column: Column, cell: object) -> str:
    if not isinstance(cell, float):
        return printable(str(cell))
    return rounded(cell) if column.decimals is None else f"{cell:.{column.decimals}f}"
