"""The worker alone: the newest wins, nothing is lost in between, and a failure ends nothing."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from typing import Any

import pytest

from glint.live.worker import MOST_WAITING, Asked, Tasks, Worker

WAIT = 30.0
"""Seconds that anything may take."""


class Slow(Tasks):
    """Tasks that note what is done; the first action waits until it is let go."""

    def __init__(self) -> None:
        self.begun, self.go = threading.Event(), threading.Event()
        self.done: list[Any] = []
        self.finished = threading.Condition()
        self.resting = 0

    def note(self, what: Any) -> None:
        with self.finished:
            self.done.append(what)
            self.finished.notify_all()

    def act(self, asked: Asked) -> None:
        if asked.message["type"] == "block":
            self.begun.set()
            assert self.go.wait(WAIT)
        elif asked.message["type"] == "fail":
            raise RuntimeError("as asked")
        self.note(asked.message)

    def settle(self) -> None:
        self.note("settled")

    def pose(self, asked: Asked) -> None:
        self.note(("pose", asked.page, asked.message["seq"]))

    def rest(self) -> bool:
        self.resting += 1
        self.note("rest")
        return self.resting < 3

    def until(self, what: Any) -> None:
        """Wait until something is done."""
        with self.finished:
            assert self.finished.wait_for(lambda: what in self.done, WAIT)


@pytest.fixture
def blocked() -> Iterator[tuple[Worker, Slow, list[str]]]:
    """A worker that is busy, and what has failed."""
    tasks, failures = Slow(), []
    worker = Worker(tasks, lambda asked, error: failures.append(str(error)))
    worker.start()
    worker.act(Asked(1, {"type": "block"}))
    assert tasks.begun.wait(WAIT)
    yield worker, tasks, failures
    tasks.go.set()
    worker.stop()


def edit(group: str, **changes: int) -> Asked:
    """An edit of page 1."""
    return Asked(1, {"type": "edit", "group": group, "changes": changes})


def test_of_each_page_only_the_newest_pose_waits(blocked) -> None:
    worker, tasks, _ = blocked
    for number in range(100):
        worker.pose(Asked(number % 2, {"type": "pose", "seq": number}))
    worker.pose(Asked(5, {"type": "pose", "seq": 7}))
    worker.forget(5)
    tasks.go.set()
    tasks.until("rest")
    poses = [one for one in tasks.done if isinstance(one, tuple)]
    assert poses == [("pose", 0, 98), ("pose", 1, 99)]


def test_edits_of_one_drag_become_one_and_others_keep_their_order(blocked) -> None:
    worker, tasks, _ = blocked
    for number in range(50):
        worker.act(edit("a", x=number, **{f"y{number % 2}": number}))
    worker.act(edit("b", x=1))
    worker.act(edit("", x=2))
    worker.act(edit("", x=3))
    tasks.go.set()
    tasks.until("rest")
    edits = [one["changes"] for one in tasks.done if isinstance(one, dict) and "changes" in one]
    assert edits == [{"x": 49, "y0": 48, "y1": 49}, {"x": 1}, {"x": 2}, {"x": 3}]
    # All that waited is shown at once.
    assert tasks.done.count("settled") == 2


def test_what_fails_is_told_and_the_next_is_done(blocked) -> None:
    worker, tasks, failures = blocked
    worker.act(Asked(1, {"type": "fail"}))
    worker.act(edit("", x=1))
    tasks.go.set()
    tasks.until(edit("", x=1).message)
    assert failures == ["as asked"]


def test_only_so_much_may_wait(blocked) -> None:
    worker, _, _ = blocked
    assert all(worker.act(edit("", x=number)) for number in range(MOST_WAITING))
    assert not worker.act(edit("", x=0))
    assert not worker.act(edit("new", x=0))


def test_at_rest_pieces_are_done_until_there_are_no_more(blocked) -> None:
    worker, tasks, _ = blocked
    tasks.go.set()
    with tasks.finished:
        assert tasks.finished.wait_for(lambda: tasks.done.count("rest") == 3, WAIT)
    worker.pose(Asked(1, {"type": "pose", "seq": 1}))
    with tasks.finished:
        # What follows a pose is looked at anew.
        assert tasks.finished.wait_for(lambda: tasks.done.count("rest") == 4, WAIT)
    assert tasks.done.index(("pose", 1, 1)) > tasks.done.index("rest")
