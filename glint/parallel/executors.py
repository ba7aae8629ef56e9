"""One seam for work in independent pieces: here, in local processes, or on a cluster.

Every piece is a function of its item alone, so that results are the same wherever it runs, and a
piece whose worker was lost is simply done again.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    wait,
)
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, TypeVar

from glint.errors import GlintError, UsageError, printable
from glint.kernels.runtime.threads import at_most, processors
from glint.parallel.processes import Processes

Item = TypeVar("Item")
Result = TypeVar("Result")
Tell = Callable[[int, int], None]

MOST_LOSSES = 3
"""Times in a row that workers may be lost without a single piece getting done."""

MANY_LOSSES = "workers were lost again and again, each time at the same pieces"

LOST_CLUSTER = "the cluster let go of the work: is it still up?"

PATIENCE = 10.0
"""Seconds that a scheduler has to answer."""

_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Workers:
    """Where pieces run.

    count: local processes; 1 is this very process, 0 as many as there are processors
    scheduler: address of a running cluster, as "tcp://host:8786", or "tls://host:8786" with the
    certificates that dask's configuration names; then count does not matter. Its workers run what
    they are sent, by anybody who reaches it: a cluster is for networks that are trusted
    """

    count: int = 1
    scheduler: str | None = None

    @property
    def processes(self) -> int:
        """Local processes to use."""
        return self.count or processors()


def run(
    work: Callable[[Item], Result],
    items: Sequence[Item],
    workers: Workers | None = None,
    tell: Tell = lambda done, total: None,
) -> list[Result]:
    """The results of all items, in their order.

    work: a function of a module, so that other processes can find it. tell: called with how many
    pieces are done, and of how many. What a piece raises is raised here. Raises GlintError where
    workers are lost again and again, or a scheduler does not answer.
    """
    with at_work(workers or Workers()) as everyone:
        return everyone.run(work, items, tell)


@contextmanager
def at_work(workers: Workers) -> Iterator[WorkerPool]:
    """Workers that stay for several rounds: `with at_work(workers) as crew: crew.run(...)`."""
    crew = WorkerPool(workers)
    try:
        yield crew
    finally:
        crew.dismiss()


class WorkerPool:
    """Workers, hired when first needed and again when they are lost."""

    def __init__(self, workers: Workers) -> None:
        self.workers = workers
        self.executor: Executor | None = None
        self.client: Any = None

    def run(
        self,
        work: Callable[[Item], Result],
        items: Sequence[Item],
        tell: Tell = lambda done, total: None,
    ) -> list[Result]:
        """As the function `run`."""
        done: dict[int, Result] = {}
        tell(0, len(items))
        if self.workers.scheduler is None and min(self.workers.processes, len(items)) <= 1:
            for number, item in enumerate(items):
                done[number] = _alone(work, item)
                tell(len(done), len(items))
            return [done[number] for number in range(len(items))]
        losses = 0
        while len(done) < len(items):
            before = len(done)
            with suppress(BrokenExecutor):  # what is not done is asked for again
                self._round(work, items, done, tell)
            losses = 0 if len(done) > before else losses + 1
            if losses == MOST_LOSSES:
                raise GlintError(MANY_LOSSES)
        return [done[number] for number in range(len(items))]

    def _round(
        self,
        work: Callable[[Item], Result],
        items: Sequence[Item],
        done: dict[int, Result],
        tell: Tell,
    ) -> None:
        """Hand out what is not done yet, and gather it until all is done or workers are lost."""
        executor = self._hired()
        pieces: dict[Future[Result], int] = {
            executor.submit(_alone, work, item): number
            for number, item in enumerate(items)
            if number not in done
        }
        lost: BrokenExecutor | None = None
        try:
            waiting = set(pieces)
            while waiting:
                ready, waiting = wait(waiting, self._patience, FIRST_COMPLETED)
                if not ready:
                    self._look_for_workers()
                for piece in ready:
                    try:
                        done[pieces[piece]] = piece.result()
                    except BrokenExecutor as error:
                        lost = error
                    except CancelledError:
                        raise GlintError(LOST_CLUSTER) from None
                    except Exception as error:
                        if type(error).__name__ == "KilledWorker":  # only a cluster knows these
                            raise GlintError(MANY_LOSSES) from None
                        raise
                    tell(len(done), len(items))
        finally:
            for piece in pieces:
                piece.cancel()
        if lost is not None:
            raise lost

    @property
    def _patience(self) -> float | None:
        """Seconds without a result after which a cluster is looked at."""
        return None if self.client is None else PATIENCE

    def _look_for_workers(self) -> None:
        """Raise GlintError where a cluster has nobody left, for which it would wait for ever."""
        if self.client.status != "running":
            raise GlintError(LOST_CLUSTER)
        if not self.client.scheduler_info()["workers"]:
            raise GlintError(f"the scheduler at {self._shown} has no workers any more")

    @property
    def _shown(self) -> str:
        return printable(self.workers.scheduler or "", 100)

    def _hired(self) -> Executor:
        if self.executor is None:
            if self.workers.scheduler is None:
                self.executor = Processes(self.workers.processes)
            else:
                self.client = _client(self.workers.scheduler)
                self.executor = self.client.get_executor(pure=False, retries=MOST_LOSSES)
        assert self.executor is not None
        return self.executor

    def dismiss(self) -> None:
        """Send the workers home; those of a cluster stay where they are."""
        if self.executor is not None:
            self.executor.shutdown(wait=True, cancel_futures=True) if self.client is None else None
            self.executor = None
        if self.client is not None:
            self.client.close()
            self.client = None


def _alone(work: Callable[[Item], Result], item: Item) -> Result:
    """One piece at a time in each process, and on one thread: the others are for other pieces."""

    with _ONE_AT_A_TIME, at_most(1):
        return work(item)


def _client(address: str) -> Any:
    try:
        from distributed import Client
    except ImportError:
        raise UsageError("--scheduler needs the extra: pip install glint[cluster]") from None
    shown = printable(address, 100)
    try:
        client = Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TypeError, RuntimeError) as error:
        # The last two are raised where TLS is wanted or offered and its settings are not right.
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise GlintError(f"no scheduler answers at {shown}: {printable(reason, 200)}") from None
    if not client.scheduler_info()["workers"]:
        client.close()
        raise GlintError(f"the scheduler at {shown} has no workers")
    return client
