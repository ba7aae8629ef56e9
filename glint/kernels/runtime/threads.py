"""Threads that share a kernel's work.

Kernels release the global interpreter lock, so plain threads run them side by side. Which thread
does which stretch is left to chance, therefore stretches must not depend on each other; then the
result is the same on any number of threads.
"""

from __future__ import annotations

import itertools
import os
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import Any

STRETCHES = 4
"""Stretches a thread: more even out what is uneven, each costs some microseconds."""

PATIENCE = 10
"""Rank of a thread that gives way; 0 is that of others, 19 the last."""

_MOST: ContextVar[int] = ContextVar("most threads", default=0)


def processors() -> int:
    """How many processors this program may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system can say which processors a program may use
        return os.cpu_count() or 1


def threads() -> int:
    """Threads that share work: as many as processors, or GLINT_THREADS, or the limit set here."""
    return _MOST.get() or _wanted()


@contextmanager
def at_most(number: int) -> Iterator[None]:
    """Use so many threads only, in this block and this thread."""
    before = _MOST.set(number)
    try:
        yield
    finally:
        _MOST.reset(before)


def give_way() -> None:
    """Have the system run this thread after others that want a processor, for good; where it does
    not rank threads, as Linux does, nothing."""
    if sys.platform == "linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), PATIENCE)


class _ScratchBuffers(threading.local):
    """What each thread works on, kept for its next call."""

    def __init__(self) -> None:
        self.kept: dict[Callable[..., Any], tuple[tuple, Any]] = {}


_BUFFERS = _ScratchBuffers()


def scratch_of(make: Callable[..., Any], *sizes: int) -> Any:
    """What make(*sizes) gave this thread last time, or gives it now: room to work in. To be given
    new memory at each call takes longer than much of the work."""
    kept = _BUFFERS.kept.get(make)
    if kept is None or kept[0] != sizes:
        kept = _BUFFERS.kept[make] = (sizes, make(*sizes))
    return kept[1]


def share_out(
    jobs: int,
    work: Callable[..., object],
    given: Any,
    stretches: int = STRETCHES,
    scratch: Callable[[], Any] | None = None,
) -> None:
    """Call work(first, last, given) on several threads, for stretches that together are all jobs.

    stretches: how many for each thread: one, where jobs are dealt evenly and beginning costs.
    scratch: if there is one, what it gives in each thread is handed to work as a fourth argument.

    This thread works too, and waits for nobody who has not begun: where the others are busy, or
    lost as after a fork, it does all by itself.
    """
    number = min(threads(), jobs)
    pieces = min(stretches * number, jobs) if number > 1 else 1
    turn = itertools.count()  # two threads never draw the same number

    def take() -> None:
        mine = () if scratch is None else (scratch(),)
        while (piece := next(turn)) < pieces:
            work(jobs * piece // pieces, jobs * (piece + 1) // pieces, given, *mine)

    helpers = [_executor().submit(take) for _ in range(number - 1)]
    try:
        take()
    finally:
        for helper in helpers:
            if not helper.cancel():
                helper.result()


@cache
def _executor() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(max(processors(), _wanted()), thread_name_prefix="glint")


@cache
def _wanted() -> int:
    try:
        return max(int(os.environ.get("GLINT_THREADS", "")), 1)
    except ValueError:
        return processors()
