"""Stopped by Ctrl-C, or asked to end: everything is over within two seconds, whatever was going on.

Mostly KeyboardInterrupt, raised in the main thread, takes care of it on its way up. But a compiler
or a long kernel may keep that thread from hearing of it, or work that is under way may keep the
program from ending. So a thread waits for the same signals, and after a while ends what is left.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from glint.files.atomic import stopping_is_an_error
from glint.files.temporary import remove_ours

GRACE = 1.2
"""Seconds that everything has to end in good order."""

STOPPED = "glint: stopped\n"

_said = threading.Lock()


def say_stopped() -> None:
    """Say so, on standard error, once."""
    if _said.acquire(blocking=False):
        # A bar may still be there, which hides the cursor.
        shown = f"\r\x1b[2K\x1b[?25h{STOPPED}" if os.isatty(2) else STOPPED
        with suppress(OSError):  # nobody listens any more
            os.write(2, shown.encode())


@contextmanager
def stoppable() -> Iterator[None]:
    """In this block, and after it once it was stopped, Ctrl-C and requests to end are heeded."""
    if os.name != "posix" or threading.current_thread() is not threading.main_thread():
        with stopping_is_an_error():
            yield
        return
    heard, told = os.pipe()
    os.set_blocking(told, False)
    with stopping_is_an_error():
        before = signal.set_wakeup_fd(told, warn_on_full_buffer=False)
        threading.Thread(target=_watch, args=(heard,), daemon=True).start()
        try:
            yield
        finally:
            signal.set_wakeup_fd(before)
            os.close(told)


def _watch(heard: int) -> None:
    """Read the numbers of signals as they come, until nobody tells of any more."""
    stopping = {signal.SIGINT, signal.SIGTERM, signal.SIGHUP}
    while number := os.read(heard, 1):
        if number[0] in stopping and signal.getsignal(number[0]) is signal.default_int_handler:
            time.sleep(GRACE)
            remove_ours()
            say_stopped()
            os._exit(1)
    os.close(heard)
