"""Files on their way: one after the other, with progress, and cancelled at once."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

from glint.errors import UsageError, in_words, printable
from glint.kernels.runtime.child import CHILD
from glint.live.jobs.child import Order
from glint.parallel.processes import leave_interrupts_to_the_main_thread, where_modules_are

MOST_WAITING = 8

TO_TIDY_UP = 2.0
"""Seconds that a cancelled job has to take its files away."""

OFTEN = 0.2
"""Seconds between two words of progress."""

_BEGIN = (
    "import sys; sys.path[:] = sys.argv[1:]; from glint.live.jobs.child import main; "
    "del sys.argv[1:]; main()"
)

Tell = Callable[[Mapping[str, Any]], None]


class Job:
    """One order: what the page calls it, how it goes, and its process."""

    def __init__(self, name: str, order: Order) -> None:
        self.name, self.order = name, order
        self.cancelled = False
        self.process: subprocess.Popen[bytes] | None = None


class Jobs:
    """A thread that does one job after the other. tell: called in it, and where a job is put in."""

    def __init__(self, tell: Tell) -> None:
        self.tell = tell
        self._jobs: list[Job] = []
        self._changed = threading.Condition()
        self._over = False
        self._thread: threading.Thread | None = None

    def add(self, name: object, order: Order) -> None:
        """Let a job wait. Raises UsageError for a name that is taken, or too many."""
        if not isinstance(name, str) or not 0 < len(name) <= 60:
            raise UsageError(f"id: found {in_words(name)}; allowed: a text of 1 to 60 characters")
        with self._changed:
            if any(job.name == name for job in self._jobs):
                raise UsageError(f"id: {in_words(name)} is at work already")
            if len(self._jobs) >= MOST_WAITING:
                raise UsageError(f"{MOST_WAITING} files are on their way; wait for one")
            job = Job(name, order)
            self._jobs.append(job)
            self._changed.notify()
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="jobs", daemon=True)
                self._thread.start()
        self._say(job, "waiting")

    def cancel(self, name: object) -> None:
        """End a job; its files are taken away. Raises UsageError for one that is not there."""
        with self._changed:
            for job in self._jobs:
                if job.name == name:
                    job.cancelled = True
                    if job.process is not None:
                        job.process.terminate()
                    return
        raise UsageError(f"id: found {in_words(name)}; allowed: one that is at work")

    def stop(self) -> None:
        """End all jobs; what they began is taken away where there is time."""
        with self._changed:
            self._over = True
            for job in self._jobs:
                job.cancelled = True
                if job.process is not None:
                    job.process.terminate()
            self._changed.notify()

    def _run(self) -> None:
        leave_interrupts_to_the_main_thread()
        while True:
            with self._changed:
                while not self._jobs and not self._over:
                    self._changed.wait()
                if self._over:
                    return
                job = self._jobs[0]
            try:
                self._do(job)
            except OSError as error:
                reason = (error.strerror or str(error)).lower()
                self._say(job, "failed", text=f"no process could be started: {reason}")
            with self._changed:
                self._jobs.remove(job)

    def _do(self, job: Job) -> None:
        with self._changed:
            if not job.cancelled:
                job.process = subprocess.Popen(
                    [sys.executable, "-P", "-c", _BEGIN, *where_modules_are()],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.DEVNULL,
                    env={**os.environ, CHILD: "1"},
                )
        if job.process is None:
            self._say(job, "cancelled")
            return
        try:
            self._follow(job, job.process)
        finally:
            _end(job.process)

    def _follow(self, job: Job, process: subprocess.Popen[bytes]) -> None:
        assert process.stdin is not None and process.stdout is not None
        begun = said = time.monotonic()
        last: dict[str, Any] = {}
        try:
            process.stdin.write(pickle.dumps(job.order))
            process.stdin.flush()
            self._say(job, "running")
            for line in process.stdout:
                last = json.loads(line)
                now = time.monotonic()
                if "steps" in last and now - said >= OFTEN:
                    said, (done, total) = now, last["steps"]
                    left = (now - begun) * (total - done) / done if done else None
                    self._say(job, "running", done, total, left)
        except BrokenPipeError:
            last = {}
        if job.cancelled:
            self._say(job, "cancelled")
        elif "written" in last:
            self._say(job, "done", 1, 1, 0.0, written=last["written"])
        else:
            self._say(job, "failed", text=last.get("problem", "its process was lost"))

    def _say(
        self,
        job: Job,
        state: str,
        done: int = 0,
        total: int = 0,
        seconds_left: float | None = None,
        **more: Any,
    ) -> None:
        text = printable(more.pop("text", ""))
        facts = {"id": job.name, "kind": job.order.kind, "state": state, "text": text}
        progress = {"done": done, "total": total, "seconds_left": seconds_left}
        self.tell({"type": "job", **facts, **progress, "written": [], **more})


def _end(process: subprocess.Popen[bytes]) -> None:
    try:
        process.wait(TO_TIDY_UP)
    except subprocess.TimeoutExpired:
        process.kill()
    process.communicate()  # closes the pipes, and waits
