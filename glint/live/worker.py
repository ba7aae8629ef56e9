"""One thread does all the work: edits first, of poses the newest alone, and the rest when idle."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

MOST_WAITING = 1024
"""Actions of all pages that may wait; one who sends more is not listened to."""

QUIET = 0.1
"""Seconds without a request from which on work that takes longer is begun."""

Message = Mapping[str, Any]


class Asked(NamedTuple):
    """What one page asks for."""

    page: int
    message: Message


NOBODY = Asked(0, {"type": "rest", "seq": 0})
"""What is done at rest is asked for by no page."""


class Tasks:
    """What the worker does. A page is a number; None stands for all pages."""

    def act(self, asked: Asked) -> None:
        """Do one action, in order."""
        raise NotImplementedError

    def settle(self) -> None:
        """After all actions that waited were done."""
        raise NotImplementedError

    def pose(self, asked: Asked) -> None:
        """Answer one request for a pose."""
        raise NotImplementedError

    def rest(self) -> bool:
        """Do one short piece of what can wait; whether there may be more."""
        raise NotImplementedError


class Worker:
    """The thread, and what waits for it. A page has at most one request for a pose waiting."""

    def __init__(self, tasks: Tasks, failed: Callable[[Asked, Exception], None]) -> None:
        """failed: told what an action or a pose raised, a GlintError or a bug."""
        self.tasks, self.failed = tasks, failed
        self._actions: deque[Asked] = deque()
        self._poses: dict[int, Asked] = {}
        self._changed = threading.Condition()
        self._over = False
        self._thread = threading.Thread(target=self._run, name="live", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End after what is being done now; the program does not wait for it."""
        with self._changed:
            self._over = True
            self._changed.notify()

    def act(self, asked: Asked) -> bool:
        """Let an action wait; False where too many do."""
        with self._changed:
            last = self._actions[-1] if self._actions else None
            merged = None if last is None else _merged(last, asked)
            if merged is not None:
                self._actions[-1] = merged
            elif len(self._actions) >= MOST_WAITING:
                return False
            else:
                self._actions.append(asked)
            self._changed.notify()
        return True

    def pose(self, asked: Asked) -> None:
        """Let a request for a pose wait; it takes the place of the page's last one."""
        with self._changed:
            self._poses[asked.page] = asked
            self._changed.notify()

    def forget(self, page: int) -> None:
        """A page has gone."""
        with self._changed:
            self._poses.pop(page, None)

    def _waits(self) -> bool:
        return bool(self._actions or self._poses or self._over)

    def _run(self) -> None:
        resting, quiet = False, False
        while True:
            with self._changed:
                if not (self._waits() or quiet):
                    # Between two steps of a drag nothing long is begun.
                    self._changed.wait(QUIET)
                while not (self._waits() or resting):
                    self._changed.wait()
                if self._over:
                    return
                actions, poses = list(self._actions), list(self._poses.values())
                self._actions.clear()
                self._poses.clear()
            for asked in actions:
                self._try(self.tasks.act, asked)
            if actions:
                self._try(lambda _: self.tasks.settle(), actions[-1])
            for asked in poses:
                self._try(self.tasks.pose, asked)
            quiet = not (actions or poses)
            resting = self._rest() if quiet else True

    def _rest(self) -> bool:
        try:
            return self.tasks.rest()
        except Exception as error:
            self.failed(NOBODY, error)
            return False

    def _try(self, task: Callable[[Asked], None], asked: Asked) -> None:
        try:
            task(asked)
        except Exception as error:
            self.failed(asked, error)


def _merged(last: Asked, new: Asked) -> Asked | None:
    """Two edits of one drag as one: later values stand. None where they are not."""
    old, fresh = last.message, new.message
    same = old["type"] == fresh["type"] == "edit" and last.page == new.page
    group = fresh.get("group")
    if not same or not group or group != old.get("group"):
        return None
    before, after = old.get("changes"), fresh.get("changes")
    if not isinstance(before, Mapping) or not isinstance(after, Mapping):
        return None
    # Later paths may lie within earlier ones, so they come after them.
    kept = {key: value for key, value in before.items() if key not in after}
    return Asked(new.page, {**fresh, "changes": {**kept, **after}})
