"""How far the work is: a bar on a terminal, once the work has taken a second; elsewhere, if it is
asked for, plain lines."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.progress import Progress

PATIENCE = 1.0
"""Seconds of work that go by without a bar."""

INTERVAL = 10.0
"""Seconds between plain lines."""

PROGRESS_ASKED = "glint.progress"
"""Where the context of a command says whether plain lines were asked for."""

GETTING_READY = "getting ready, first run only (about 20 s)"

Tell = Callable[[int, int], None]


@contextmanager
def working(label: str) -> Iterator[Tell]:
    """Show a bar on standard error while the block works: `with working("filming") as tell: ...`.

    The block may call tell(done, total): before the first call the bar shows the time gone by,
    from then on the time left. While kernels are being compiled it says so, and at once. Where
    standard error is not a terminal, plain lines are printed with --progress, and nothing without.
    """
    if not sys.stderr.isatty():
        context = click.get_current_context(silent=True)
        if context is not None and context.meta.get(PROGRESS_ASKED):
            with _plain_lines(label) as say:
                yield say
        else:
            yield _silent
        return
    from numba.core import event

    bar = _bar()
    task = bar.add_task(label, total=None)
    soon = threading.Timer(PATIENCE, bar.start)
    soon.daemon = True

    class Compiling(event.Listener):
        """Says that kernels are being compiled: only those that no cache holds ever are."""

        def on_start(self, event: event.Event) -> None:
            soon.cancel()
            bar.update(task, description=GETTING_READY)
            bar.start()

        def on_end(self, event: event.Event) -> None:
            """The next kernel may be along at once."""

    def tell(done: int, total: int) -> None:
        bar.update(task, description=label, completed=done, total=total)

    soon.start()
    try:
        with event.install_listener("numba:compile", Compiling()):
            yield tell
    finally:
        soon.cancel()
        soon.join()
        bar.stop()


@contextmanager
def _plain_lines(label: str) -> Iterator[Tell]:
    """A line on standard error at the start, every INTERVAL seconds, and at the end."""
    start, over, reached = time.monotonic(), threading.Event(), (0, 0)

    def tell(done: int, total: int) -> None:
        nonlocal reached
        reached = done, total

    def say() -> None:
        while not over.wait(INTERVAL):
            _print(plain_line(label, *reached, time.monotonic() - start))

    _print(label)
    speaker = threading.Thread(target=say, daemon=True)
    speaker.start()
    try:
        yield tell
    finally:
        over.set()
        speaker.join()
    _print(f"{label}: done in {in_clock(time.monotonic() - start)}")


def _print(line: str) -> None:
    click.echo(f"glint: {line}", err=True)


def plain_line(label: str, done: int, total: int, seconds: float) -> str:
    """How far the work is after some seconds: "filming: 12 of 300, 4 %, 2:05 min left"."""
    if not total:
        return f"{label}: {in_clock(seconds)}"
    words = f"{label}: {done} of {total}, {100.0 * done / total:.0f} %"
    if not 0 < done < total:
        return words
    return f"{words}, {in_clock(seconds * (total - done) / done)} left"


def _silent(done: int, total: int) -> None:
    """Tell nobody."""


def _bar() -> Progress:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, ProgressColumn, Task, TextColumn
    from rich.text import Text

    class Time(ProgressColumn):
        """Time gone by where nobody knows how long it takes, else the share done and time left."""

        def render(self, task: Task) -> Text:
            if task.total is None:
                return Text(in_clock(task.elapsed or 0.0))
            left = task.time_remaining
            share = f"{task.percentage:3.0f} %"
            return Text(share if left is None else f"{share}, {in_clock(left)} left")

    description = TextColumn("{task.description}", markup=False)
    return Progress(
        description, BarColumn(30), Time(), console=Console(stderr=True), transient=True
    )


def in_clock(seconds: float) -> str:
    """A stretch of time as "8 s", "2:05 min" or "1:02:05 h"."""
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60}:{whole % 60:02d} min"
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d} h"
