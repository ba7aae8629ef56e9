"""Processes of our own, which end with this one, whatever ends it.

Each is asked through a pipe and answers through another. A thread of it does nothing but read:
where the pipe ends, this process is no more, killed perhaps, and the other ends at once, whatever
it is at. Nothing else is shared, so one that is lost takes nothing with it. Modules are never
looked for in the current folder, which may be a stranger's.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from typing import IO, Any

from glint.errors import GlintError
from glint.files.apart import keep_apart
from glint.kernels.runtime.child import CHILD

_BEGIN = (
    "import sys; sys.path[:] = sys.argv[1:]; from glint.parallel.processes import serve; "
    "del sys.argv[1:]; serve()"
)

_LENGTH = 8
"""Bytes that tell the length of a question."""


class Processes(Executor):
    """At most so many processes, started when they are needed; a lost one is replaced.

    `submit` takes functions of modules, with arguments that can be pickled. A future whose process
    was lost raises BrokenExecutor. `shutdown` kills what still works: the answers are not wanted.
    """

    def __init__(self, count: int) -> None:
        self._threads = ThreadPoolExecutor(count, "processes", leave_interrupts_to_the_main_thread)
        self._lock = threading.Lock()
        self._over = False
        self._idle: list[subprocess.Popen[bytes]] = []
        self._all: set[subprocess.Popen[bytes]] = set()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """The future of fn(*args, **kwargs)."""
        return self._threads.submit(self._ask, pickle.dumps((fn, args, kwargs)))

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Kill all processes. Returns when they are gone, whatever `wait` says."""
        with self._lock:
            self._over = True
            for process in self._all:
                process.kill()
        self._threads.shutdown(wait=True, cancel_futures=True)
        for process in list(self._all):
            self._lose(process)

    def _ask(self, question: bytes) -> Any:
        process = self._hired()
        assert process.stdin is not None and process.stdout is not None
        try:
            process.stdin.write(len(question).to_bytes(_LENGTH, "big") + question)
            process.stdin.flush()
            good, answer = pickle.load(process.stdout)
        except (OSError, EOFError, pickle.UnpicklingError):
            self._lose(process)
            raise BrokenExecutor("a process was lost") from None
        with self._lock:
            self._idle.append(process)
        if not good:
            raise answer
        return answer

    def _hired(self) -> subprocess.Popen[bytes]:
        with self._lock:
            if self._over:
                raise BrokenExecutor("nothing is done any more")
            if self._idle:
                return self._idle.pop()
            process = subprocess.Popen(
                [sys.executable, "-P", "-c", _BEGIN, *where_modules_are()],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                env={**os.environ, CHILD: "1"},
            )
            self._all.add(process)
            return process

    def _lose(self, process: subprocess.Popen[bytes]) -> None:
        process.kill()
        process.communicate()  # closes the pipes, and waits
        with self._lock:
            self._all.discard(process)


def leave_interrupts_to_the_main_thread() -> None:
    """Processes started by this thread do not get Ctrl-C either: they are ended by this one."""
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})


def where_modules_are() -> list[str]:
    """Our path of modules without "", the current folder; glint's own place at least comes last."""
    found = [str(place) for place in sys.path if place]
    home = str(Path(__file__).parents[2])
    return found if home in found else [*found, home]


def serve() -> None:
    """Answer what is asked on standard input, until it ends; then end at once."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where it could not be blocked
    questions: SimpleQueue[bytes] = SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, questions), daemon=True).start()
    keep_apart()
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a function prints must not stand among the answers
    while True:
        answers.write(_answer(questions.get()))
        answers.flush()


def _listen(asked: IO[bytes], questions: SimpleQueue[bytes]) -> None:
    while len(head := asked.read(_LENGTH)) == _LENGTH:
        questions.put(asked.read(int.from_bytes(head, "big")))
    os._exit(1)


def _answer(question: bytes) -> bytes:
    try:
        function, args, kwargs = pickle.loads(question)
        return pickle.dumps((True, function(*args, **kwargs)))
    except Exception as error:
        try:
            answer = pickle.dumps((False, error))
            pickle.loads(answer)  # an error with arguments of its own may only fail here
        except Exception:
            answer = pickle.dumps((False, GlintError(str(error))))
        return answer
