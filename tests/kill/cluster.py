"""A cluster on this machine."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]

Process = subprocess.Popen[bytes]


@contextmanager
def cluster(
    folder: Path, *more: str, **environment: str
) -> Iterator[tuple[str, Process, list[Process]]]:
    """The address of a scheduler, its process, and two of its workers. All are killed in the end.

    more: further words for each of them.
    """
    from distributed import Client

    folder.mkdir(exist_ok=True)
    place = folder / "scheduler.json"
    shared = {"PYTHONPATH": str(ROOT), "DASK_DISTRIBUTED__WORKER__DAEMON": "False"}

    def start(name: str, *words: str) -> Process:
        common: Sequence[str] = ("--no-dashboard", "--scheduler-file", str(place), *more)
        return subprocess.Popen(
            [sys.executable, "-m", f"distributed.cli.{name}", *words, *common],
            env={**os.environ, **shared, **environment},
            cwd=folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    scheduler = start("dask_scheduler", "--host", "127.0.0.1", "--port", "0")
    workers = [start("dask_worker", "--nthreads", "1", "--no-nanny") for _ in range(2)]
    try:
        deadline = time.monotonic() + 60.0
        while not place.exists() and time.monotonic() < deadline:
            time.sleep(0.05)
        with Client(scheduler_file=str(place), timeout=20, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
            address = client.scheduler.address
        yield address, scheduler, workers
    finally:
        for process in (*workers, scheduler):
            process.kill()
            process.wait()
