"""A process that runs cases, with a limit on its time and memory."""

from __future__ import annotations

import multiprocessing
import os
import random
import time
import traceback
import warnings
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

SECONDS = 20.0
"""Of one processor that one case may take."""

LONGER = {"place": 3.0}
"""Times as long for some kinds: a search is of fifty placings, each with the glow of its strings
anew."""

WARM_UP = 1200.0
"""Until all kernels are compiled, and a few pictures drawn, before the first case."""

BUSY = 20.0
"""Times as long by the clock, on a machine that does much else."""

MEMORY = 2 << 30
"""Bytes of data that a worker may have, compiled kernels and libraries included."""


class Outcome(NamedTuple):
    """What became of a case: in a word; the traceback if it failed; its seconds of a processor;
    and the most memory that its process had meanwhile, bytes."""

    ended: str
    why: str
    seconds: float
    memory: int


def work(pipe: Connection) -> None:
    """Run the cases that come through a pipe, and send back what became of each."""
    import resource

    os.environ["GLINT_THREADS"] = "1"
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    # As in the unit tests: a sum that came out as no number is a mistake, seen or not.
    warnings.filterwarnings("error", category=RuntimeWarning, module="glint")
    from tests.fuzz.cases import run_case
    from tests.fuzz.commands import warm_up

    warm_up()
    pipe.send(None)
    while (order := pipe.recv()) is not None:
        seed, number, kind = order
        start = time.process_time()
        _forget_peak()
        try:
            ended, why = run_case(kind, random.Random(f"{seed} {number} {kind}")), ""
        except BaseException:
            ended, why = "failed", traceback.format_exc(limit=-6)
        pipe.send(Outcome(ended, why, time.process_time() - start, _peak()))


def _forget_peak() -> None:
    """Have Linux count the most memory of this process anew."""
    Path("/proc/self/clear_refs").write_text("5")


def _peak() -> int:
    lines = Path("/proc/self/status").read_text().splitlines()
    (line,) = (line for line in lines if line.startswith("VmHWM:"))
    return int(line.split()[1]) << 10


class Worker:
    """One process, replaced by another when it takes too long or dies."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(target=work, args=(theirs,), daemon=True)
        self.process.start()
        theirs.close()
        if not self.pipe.poll(WARM_UP):
            raise RuntimeError(f"kernels are not compiled in {WARM_UP:.0f} s")
        self.pipe.recv()

    def run(self, seed: int, number: int, kind: str) -> Outcome:
        """What became of a case."""
        self.pipe.send((seed, number, kind))
        start, before = time.monotonic(), self._seconds()
        most = SECONDS * LONGER.get(kind, 1.0)
        while not self.pipe.poll(1.0):
            used = self._seconds() - before
            if used > most or time.monotonic() - start > BUSY * most:
                return self._lost(f"no answer in {used:.0f} s of work", used)
        try:
            return self.pipe.recv()
        except (EOFError, ConnectionError):
            return self._lost("the process died", 0.0)

    def _seconds(self) -> float:
        """Of a processor that the process has used."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def _lost(self, why: str, seconds: float) -> Outcome:
        self.end()
        self.__init__()
        return Outcome("failed", why, seconds, 0)

    def end(self) -> None:
        """End the process."""
        self.process.kill()
        self.process.join()
