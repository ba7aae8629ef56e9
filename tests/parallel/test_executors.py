"""Work in pieces: the same results everywhere, and nothing lost with a lost worker."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from concurrent.futures import BrokenExecutor, Executor, Future
from pathlib import Path

import pytest

from glint.errors import GlintError
from glint.parallel.executors import MOST_LOSSES, WorkerPool, Workers, at_work, run


def square(number):
    return number * number


def square_or_die(item):
    """Kills its own process the first time that it is asked for 3."""
    number, folder = item
    mark = Path(folder) / "died"
    if number == 3 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    time.sleep(0.05)
    return number * number


def always_die(number):
    os.kill(os.getpid(), signal.SIGKILL)


def refuse(number):
    raise GlintError(f"no {number}")


def test_results_come_in_the_order_of_the_items():
    told = []
    assert run(square, range(5), Workers(1), lambda *done: told.append(done)) == [0, 1, 4, 9, 16]
    assert told[0] == (0, 5)
    assert told[-1] == (5, 5)
    assert run(square, [], Workers(2)) == []


def test_a_worker_killed_in_the_middle_loses_nothing(tmp_path):
    items = [(number, str(tmp_path)) for number in range(6)]
    assert run(square_or_die, items, Workers(2)) == [0, 1, 4, 9, 16, 25]
    assert (tmp_path / "died").exists()


def test_workers_lost_again_and_again_are_told_of():
    with pytest.raises(GlintError, match="again and again"):
        run(always_die, [1, 2], Workers(2))


class OneEach(Executor):
    """Workers that do one piece and are lost with all others."""

    def __init__(self):
        self.done = False

    def submit(self, work, /, *items):
        piece = Future()
        if self.done:
            piece.set_exception(BrokenExecutor())
        else:
            piece.set_result(work(*items))
        self.done = True
        return piece


def test_losses_count_only_while_nothing_gets_done(monkeypatch):
    monkeypatch.setattr(WorkerPool, "_hired", lambda self: OneEach())
    assert run(square, range(3 * MOST_LOSSES), Workers(2)) == [n * n for n in range(9)]


def test_what_a_piece_raises_is_raised():
    with at_work(Workers(2)) as crew:
        with pytest.raises(GlintError, match="no"):
            crew.run(refuse, [1, 2])
        assert crew.run(square, [3, 4]) == [9, 16]


def test_a_scheduler_that_does_not_answer_is_one_clear_line(monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr("glint.parallel.executors.PATIENCE", 0.5)
    with pytest.raises(GlintError) as told:
        run(square, [1, 2], Workers(scheduler="tcp://127.0.0.1:9"))
    assert str(told.value).startswith("no scheduler answers at tcp://127.0.0.1:9")
    assert "\n" not in str(told.value)


@pytest.fixture
def cluster(tmp_path):
    """A scheduler and two worker processes on this machine."""
    pytest.importorskip("distributed")
    place = tmp_path / "scheduler.json"
    root = str(Path(__file__).parents[2])
    environment = {**os.environ, "PYTHONPATH": root, "DASK_DISTRIBUTED__WORKER__DAEMON": "False"}

    def start(*arguments):
        return subprocess.Popen(
            [sys.executable, "-m", "distributed.cli." + arguments[0], *arguments[1:]],
            env=environment,
            cwd=tmp_path,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    common = ("--scheduler-file", str(place))
    processes = [
        start("dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", *common)
    ]
    workers = [
        start("dask_worker", "--nthreads", "1", "--no-nanny", "--no-dashboard", *common)
        for _ in range(2)
    ]
    processes += workers
    try:
        from distributed import Client

        deadline = time.monotonic() + 30.0
        while not place.exists() and time.monotonic() < deadline:
            time.sleep(0.05)
        with Client(scheduler_file=str(place), timeout=20, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=30)
            address = client.scheduler.address
        yield address, workers
    finally:
        for process in reversed(processes):
            process.kill()
            process.wait()


def test_a_cluster_gives_the_same_to_the_last_bit_and_survives_a_lost_worker(cluster):
    from glint.analysis.candidates import catalogue_candidates
    from glint.report.compare import compare
    from glint.schema.read import scene_of

    address, workers = cluster
    file = scene_of({"room": {"radius_m": 3.0}, "ball": [{"shape": {"base": "cube"}}]})
    files = catalogue_candidates(file, 12, 6)[:4]
    here = compare(files, Workers(1), tolerance=0.1)
    killed = []

    def kill_one(done, total):
        if done >= 1 and not killed:
            killed.append(workers[0].pid)
            workers[0].kill()

    there = compare(files, Workers(scheduler=address), tolerance=0.1, tell=kill_one)
    assert killed
    assert [one.title for one in there] == [one.title for one in here]
    for one, other in zip(here, there, strict=True):
        assert one.measures.figures == other.measures.figures
        assert (one.measures.map == other.measures.map).all()
