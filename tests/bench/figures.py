"""What all rows share: figures from repeated runs held against their bars, ours and a peer's runs
taken in turn, and the table."""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple


class Figure(NamedTuple):
    """One measured figure.

    values: one a repeat; their median is the figure. bar: what it is held to, None where it is
    only told. least: the bar is the least allowed, else the most. note: what a reader needs to
    judge it.
    """

    what: str
    values: tuple[float, ...]
    unit: str
    bar: float | None = None
    least: bool = False
    note: str = ""

    @property
    def value(self) -> float:
        """The median of all repeats; not a number if one of them is none."""
        return median(self.values)

    @property
    def holds(self) -> bool | None:
        """Whether the bar is held; None without a bar. A figure that is not a number holds none."""
        if self.bar is None:
            return None
        return self.value >= self.bar if self.least else self.value <= self.bar


class Race(NamedTuple):
    """Seconds of ours and of the peer, one each a repeat: run k of both ran side by side in time.

    What slows a machine for a while slows both of a pair, so ratios are steadier than times.
    """

    ours: tuple[float, ...]
    peer: tuple[float, ...]

    @property
    def over(self) -> tuple[float, ...]:
        """How many times the peer's time ours is, pair by pair."""
        return tuple(a / b for a, b in zip(self.ours, self.peer, strict=True))

    @property
    def faster(self) -> tuple[float, ...]:
        """How many times faster than the peer ours is, pair by pair."""
        return tuple(b / a for a, b in zip(self.ours, self.peer, strict=True))


def in_turn(ours: Callable[[], float], peer: Callable[[], float], repeats: int) -> Race:
    """Both, in turn, as often; each says how many seconds it took. Every other time the peer goes
    first, so that neither always finds what the other left behind."""
    found: tuple[list[float], list[float]] = ([], [])
    for repeat in range(repeats):
        for one in ((0, 1), (1, 0))[repeat % 2]:
            found[one].append((ours, peer)[one]())
    return Race(tuple(found[0]), tuple(found[1]))


def median(values: Sequence[float]) -> float:
    """The median; not a number if one of the values is none."""
    return math.nan if any(map(math.isnan, values)) else statistics.median(values)


def median_seconds(work: Callable[[], object], repeats: int = 5, before: int = 1) -> float:
    """Median wall-clock seconds of `repeats` runs, after `before` that do not count."""
    for _ in range(before):
        work()
    return statistics.median(seconds_of(work) for _ in range(repeats))


def seconds_of(work: Callable[[], object]) -> float:
    """Wall-clock seconds of one run."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def spread(values: Iterable[float]) -> float:
    """The largest over the smallest: 1 is flat."""
    together = list(values)
    return max(together) / min(together)


HEADINGS = ("what", "median", "lowest to highest", "repeats", "bar", "", "note")


def table(figures: Iterable[Figure], quick: bool = False) -> str:
    """The figures as a Markdown table. quick: bars are shown, but not asked."""
    return markdown(HEADINGS, (_row(figure, quick) for figure in figures))


def markdown(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table; bars in a cell would end it and are written otherwise."""
    every = [headings, ["---"] * len(headings), *rows]
    return "\n".join(f"| {' | '.join(c.replace('|', '/') for c in row)} |" for row in every)


def _row(figure: Figure, quick: bool) -> tuple[str, ...]:
    low, high = min(figure.values), max(figure.values)
    between = "" if len(figure.values) == 1 else f"{told(low)} to {told(high)}"
    bar, verdict = "", ""
    if figure.bar is not None:
        bar = f"{'≥' if figure.least else '≤'} {told(figure.bar)} {figure.unit}".strip()
        verdict = "not asked" if quick else "held" if figure.holds else "**missed**"
    value = f"{told(figure.value)} {figure.unit}".strip()
    return figure.what, value, between, str(len(figure.values)), bar, verdict, figure.note


def told(value: float) -> str:
    """A value to three digits, or whole."""
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.3g}"
