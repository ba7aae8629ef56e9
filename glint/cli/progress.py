"""How far the work is: a bar on a terminal, once the work has taken a second."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress

PATIENCE = 1.0
"""Seconds of work that go by without a bar."""

GETTING_READY = "getting ready, first run only (about 20 s)"

Tell = Callable[[int, int], None]


@contextmanager
def working(label: str) -> Iterator[Tell]:
    """Show a bar on standard error while the block works: `with working("filming") as tell: ...`.

    The block may call tell(done, total): before the first call the bar shows the time gone by,
    from then on the time left. While kernels are being compiled it says so, and at once. Nothing
    is shown where standard error is not a terminal.
    """
    if not sys.stderr.isatty():
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
