"""What all rows share: a figure held against its bar, medians of times, and the table."""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable, Iterable
from importlib.metadata import version
from typing import NamedTuple


class Figure(NamedTuple):
    """One measured figure.

    bar: what it is held to, None where it is only told. least: the bar is the least allowed, else
    the most. note: what a reader needs to judge it.
    """

    what: str
    value: float
    unit: str
    bar: float | None = None
    least: bool = False
    note: str = ""

    @property
    def holds(self) -> bool | None:
        """Whether the bar is held; None without a bar. A figure that is not a number holds none."""
        if self.bar is None:
            return None
        return self.value >= self.bar if self.least else self.value <= self.bar


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


def table(figures: Iterable[Figure]) -> str:
    """The figures as a Markdown table."""
    lines = ["| what | measured | bar | held | note |", "|---|---|---|---|---|"]
    for figure in figures:
        bar = "" if figure.bar is None else f"{'≥' if figure.least else '≤'} {_told(figure, True)}"
        held = {None: "", True: "yes", False: "**no**"}[figure.holds]
        lines.append(f"| {figure.what} | {_told(figure)} | {bar} | {held} | {figure.note} |")
    return "\n".join(lines)


def _told(figure: Figure, bar: bool = False) -> str:
    value = figure.bar if bar and figure.bar is not None else figure.value
    shown = f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.3g}"
    return f"{shown} {figure.unit}".strip()


def machine() -> str:
    """The machine in one line: cores, load before the run, and versions; nothing private."""
    able = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    names = ("numpy", "numba", "embreex")
    versions = ", ".join(f"{name} {version(name)}" for name in names)
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return (
        f"{able} cores{load}, {platform.machine()}, Python {platform.python_version()}, {versions}"
    )
