"""Results made ahead: in order, errors in their place, on as many threads as pay."""

from __future__ import annotations

import threading

import pytest

from glint.kernels.runtime.threads import threads
from glint.parallel.prefetch import ahead, prepared


def test_results_come_in_order():
    assert list(prepared(lambda: iter(range(50)))) == list(range(50))
    assert list(ahead(int, map(str, range(50)))) == list(range(50))


def test_an_error_comes_where_its_result_would_have():
    def make():
        yield 1
        raise ValueError("the second")

    results = prepared(make)
    assert next(results) == 1
    with pytest.raises(ValueError, match="the second"):
        next(results)


def test_a_caller_that_stops_early_stops_the_maker():
    ended = threading.Event()

    def make():
        try:
            while True:
                yield 0
        finally:
            ended.set()

    results = prepared(make)
    assert next(results) == 0
    results.close()
    assert ended.wait(5.0)


def test_the_maker_takes_one_thread_while_results_wait_and_all_while_its_caller_does():
    made = threading.Semaphore(0)

    def make():
        for _ in range(7):
            yield threads()
            made.release()

    results = prepared(make, held=4)
    first = next(results)
    for _ in range(5):
        assert made.acquire(timeout=5.0)
    _, _, *more = results  # these two were made before two waited
    assert first == threads()
    assert more[:2] == [1, 1]
