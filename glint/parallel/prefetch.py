"""Work done ahead, with results in order and only a few of them held."""

from __future__ import annotations

import queue
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain
from typing import TypeVar

from glint.kernels.runtime.threads import at_most, give_way, processors

Item = TypeVar("Item")
Result = TypeVar("Result")


def ahead(
    function: Callable[[Item], Result], items: Iterable[Item], held: int | None = None
) -> Iterator[Result]:
    """function of every item, in order; threads compute while the caller uses earlier results.

    Items are drawn in the caller's thread. held: how many results may be under way at once (two
    a core if not given). An error in the function is raised where its result would have come.
    """
    most = held or 2 * processors()
    under_way: deque[Future[Result]] = deque()
    with ThreadPoolExecutor(max_workers=min(most, processors())) as pool:
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


def prepared(make: Callable[[], Iterator[Result]], held: int = 4) -> Iterator[Result]:
    """Everything that make() gives, in order, made by a thread while the caller uses it.

    held: how many results may wait. While half of them do, the maker works on one thread, which
    takes less of the processors than two that wait for each other, and that thread gives way to the
    caller's; results are the same. An error of the maker is raised where its result would have
    come; a caller that stops early stops the maker.
    """
    waiting: queue.Queue[tuple[bool, Result | BaseException | None]] = queue.Queue(held)
    stopped = threading.Event()

    def put(item: tuple[bool, Result | BaseException | None]) -> bool:
        while not stopped.is_set():
            try:
                waiting.put(item, timeout=0.1)
                return True
            except queue.Full:
                continue
        return False

    def work() -> None:
        try:
            items = chain(((True, result) for result in make()), [(False, None)])
            more = True
            with ThreadPoolExecutor(1, initializer=give_way) as patient:
                while more:
                    if waiting.qsize() >= held // 2:
                        item = patient.submit(_alone, items).result()
                    else:
                        item = next(items)
                    more = put(item) and item[0]
        except BaseException as error:
            put((False, error))

    maker = threading.Thread(target=work, daemon=True)
    maker.start()
    try:
        while True:
            more, result = waiting.get()
            if isinstance(result, BaseException):
                raise result
            if not more:
                return
            yield result  # type: ignore[misc]
    finally:
        stopped.set()
        maker.join()


def _alone(items: Iterator[Result]) -> Result:
    with at_most(1):
        return next(items)
