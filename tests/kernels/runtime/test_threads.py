"""Work shared by threads: every job once, whoever does it."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from glint.kernels.runtime.threads import at_most, give_way, processors, share_out, threads


@pytest.mark.parametrize("number", [1, 2, 5, 16])
@pytest.mark.parametrize("jobs", [0, 1, 3, 64, 1001])
def test_every_job_is_done_once(number, jobs):
    done: Counter[int] = Counter()
    lock = threading.Lock()

    def work(first, last, given):
        with lock:
            given.update(range(first, last))

    with at_most(number):
        share_out(jobs, work, done)
    assert done == Counter(range(jobs))


def test_several_threads_work_and_a_limit_holds():
    names = set()

    def work(first, last, given):
        given.add(threading.current_thread().name)
        time.sleep(0.01)

    with at_most(1):
        share_out(40, work, names)
    assert names == {threading.current_thread().name}
    with at_most(3):
        share_out(40, work, names)
    assert 1 < len(names) <= 3 or processors() == 1


def test_limits_are_those_of_one_thread():
    seen = []
    with at_most(1):
        other = threading.Thread(target=lambda: seen.append(threads()))
        other.start()
        other.join()
        assert threads() == 1
    assert seen == [threads()]


def test_a_mistake_in_any_thread_is_raised():
    def work(first, last, given):
        if last == 40:
            raise ValueError("the last stretch")

    with at_most(4), pytest.raises(ValueError, match="last stretch"):
        share_out(40, work, None)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")
def test_a_forked_process_that_lost_its_threads_works_alone():
    def work(first, last, given):
        given.extend(range(first, last))
        time.sleep(0.001)

    with at_most(3):
        share_out(12, work, [])  # the crew is there
        child = os.fork()
        if child == 0:
            done: list[int] = []
            share_out(12, work, done)
            os._exit(0 if done == list(range(12)) else 1)
        assert os.waitpid(child, 0)[1] == 0


@pytest.mark.skipif(sys.platform != "linux", reason="ranks of threads are Linux's")
def test_a_thread_that_gives_way_runs_after_others():
    def rank():
        return os.getpriority(os.PRIO_PROCESS, threading.get_native_id())

    mine = rank()
    with ThreadPoolExecutor(1, initializer=give_way) as patient:
        assert patient.submit(rank).result() > mine
    assert rank() == mine
