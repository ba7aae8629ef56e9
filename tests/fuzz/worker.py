"""A process that runs cases, with a limit on its time and memory."""

from __future__ import annotations

import multiprocessing
import random
import traceback
from multiprocessing.connection import Connection

SECONDS = 120.0
"""That one case may take, the first of a worker excepted."""

WARM_UP = 180.0
MEMORY = 4 << 30
"""Bytes of data that a worker may have, compiled kernels and libraries included."""


def work(pipe: Connection) -> None:
    """Run the cases that come through a pipe, and send back what became of each."""
    import resource

    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    from tests.fuzz.cases import run_case

    while (order := pipe.recv()) is not None:
        seed, number, kind = order
        try:
            pipe.send((run_case(kind, random.Random(f"{seed} {number} {kind}")), ""))
        except BaseException:
            pipe.send(("failed", traceback.format_exc(limit=-6)))


class Worker:
    """One process, replaced by another when it takes too long or dies."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=work, args=(theirs,), daemon=True)
        self.process.start()
        theirs.close()
        self.patience = WARM_UP

    def run(self, seed: int, number: int, kind: str) -> tuple[str, str]:
        """What became of a case, and the traceback if it failed."""
        self.pipe.send((seed, number, kind))
        if not self.pipe.poll(self.patience):
            return self._lost(f"no answer in {self.patience:.0f} s")
        self.patience = SECONDS
        try:
            return self.pipe.recv()
        except (EOFError, ConnectionError):
            return self._lost("the process died")

    def _lost(self, why: str) -> tuple[str, str]:
        self.end()
        self.__init__()
        return "failed", why

    def end(self) -> None:
        """End the process."""
        self.process.kill()
        self.process.join()
