"""Work in pieces: the same results everywhere, and nothing lost with a lost worker."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import BrokenExecutor, Executor, Future
from pathlib import Path

import pytest

from glint.errors import GlintError
from glint.kernels.runtime.child import CHILD
from glint.parallel.executors import MOST_LOSSES, WorkerPool, Workers, at_work, run
from tests.cli.command import environment
from tests.kill.cluster import cluster


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


def dawdle(number):
    time.sleep(600)


def where_modules_are(number):
    return sys.path


def knows_that_it_is_a_child(number):
    return bool(os.environ.get(CHILD))


def refuse(number):
    raise GlintError(f"no {number}")


def test_results_come_in_the_order_of_the_items():
    told = []
    assert run(square, range(5), Workers(1), lambda *done: told.append(done)) == [0, 1, 4, 9, 16]
    assert told[0] == (0, 5)
    assert told[-1] == (5, 5)
    assert run(square, [], Workers(2)) == []


def test_workers_know_that_they_are_children():
    assert run(knows_that_it_is_a_child, range(2), Workers(2)) == [True, True]
    assert run(knows_that_it_is_a_child, range(2), Workers(1)) == [False, False]


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
def hosts(tmp_path):
    """A scheduler and two worker processes on this machine: address, scheduler, workers."""
    pytest.importorskip("distributed")
    with cluster(tmp_path / "cluster") as found:
        yield found


def test_a_cluster_gives_the_same_to_the_last_bit_and_survives_a_lost_worker(hosts):
    from glint.analysis.candidates import catalogue_candidates
    from glint.report.compare import compare
    from glint.schema.read import scene_of

    address, _, workers = hosts
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


@pytest.mark.parametrize("lost, told", [("scheduler", "let go"), ("workers", "no workers any")])
def test_a_cluster_that_is_lost_is_one_clear_line(lost, told, hosts, monkeypatch):
    address, scheduler, workers = hosts
    monkeypatch.setattr("glint.parallel.executors.PATIENCE", 2.0)
    with at_work(Workers(scheduler=address)) as crew:
        assert crew.run(square, [1, 2]) == [1, 4]
        for process in [scheduler] if lost == "scheduler" else workers:
            process.kill()
        with pytest.raises(GlintError, match=told) as error:
            crew.run(dawdle, [1, 2])
    assert "\n" not in str(error.value)


def test_a_cluster_by_tls_with_the_certificates_of_its_own_settings(tmp_path):
    pytest.importorskip("distributed")
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not there to make a certificate")
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    made = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=quince"]
    made += ["-keyout", str(key), "-out", str(certificate)]
    subprocess.run(made, check=True, capture_output=True)
    import dask

    tls = "distributed.comm.tls"
    ours = {f"{tls}.client.cert": str(certificate), f"{tls}.client.key": str(key)}
    told = {"DASK_DISTRIBUTED__COMM__TLS__CA_FILE": str(certificate)}
    for role in ("CLIENT", "SCHEDULER", "WORKER"):
        told[f"DASK_DISTRIBUTED__COMM__TLS__{role}__CERT"] = str(certificate)
        told[f"DASK_DISTRIBUTED__COMM__TLS__{role}__KEY"] = str(key)
    with (
        dask.config.set({**ours, f"{tls}.ca-file": str(certificate)}),
        cluster(tmp_path / "cluster", "--protocol", "tls", **told) as (address, _, _),
    ):
        assert address.startswith("tls://")
        assert run(square, [1, 2], Workers(scheduler=address)) == [1, 4]
        with (
            dask.config.set({f"{tls}.ca-file": None}),
            pytest.raises(GlintError, match="no scheduler answers at tls"),
        ):
            run(square, [1, 2], Workers(scheduler=address))


HIRED = """
import sys
from glint.parallel.executors import Workers, run
from tests.parallel.test_executors import dawdle
if __name__ == "__main__":
    print("at work", flush=True)
    run(dawdle, [1, 2], Workers(2))
"""


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such signals")
@pytest.mark.parametrize("number", ["SIGKILL", "SIGTERM", "SIGHUP"])
def test_workers_end_with_the_program_whatever_ends_it(number, tmp_path):
    """They hold its standard error open for as long as they live."""
    words = [sys.executable, "-c", HIRED]
    with subprocess.Popen(
        words, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path
    ) as child:
        assert child.stdout is not None and child.stdout.readline() == b"at work\n"
        time.sleep(1.0)  # two workers are there, or on their way
        child.send_signal(getattr(signal, number))
        assert child.communicate(timeout=30) == (b"", b"")


def test_workers_have_no_current_folder_on_their_path(monkeypatch):
    monkeypatch.setattr(sys, "path", ["", *sys.path])
    for found in run(where_modules_are, [1, 2], Workers(2)):
        assert found and "" not in found
