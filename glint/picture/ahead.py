"""Work done ahead on every core, with results in order and only a few of them held."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def ahead(
    function: Callable[[Item], Result], items: Iterable[Item], held: int | None = None
) -> Iterator[Result]:
    """function of every item, in order; threads compute while the caller uses earlier results.

    Items are drawn in the caller's thread. held: how many results may be under way at once (two
    a core if not given). An error in the function is raised where its result would have come.
    """
    most = held or 2 * cores()
    under_way: deque[Future[Result]] = deque()
    with ThreadPoolExecutor(max_workers=min(most, cores())) as pool:
        try:
            for item in items:
                under_way.append(pool.submit(function, item))
                if len(under_way) >= most:
                    yield under_way.popleft().result()
            while under_way:
                yield under_way.popleft().result()
        finally:
            for future in under_way:
                future.cancel()
