"""Standard streams that are closed, or that nobody takes any more."""

from __future__ import annotations

import os
import sys
from typing import TextIO

_STREAMS = (("stdin", "r", os.O_RDONLY), ("stdout", "w", os.O_RDONLY), ("stderr", "w", os.O_WRONLY))
"""Name and mode of each, in the order of their numbers, and how what takes its place is opened. To
write to standard output then fails, and is told; what is said on standard error is lost."""


def open_closed() -> None:
    """Put something in the place of standard streams that were closed before the program began.

    Otherwise Python has None there, and the next file that is opened takes the number of the
    stream: whatever prints would print into a picture.
    """
    for number, (name, mode, how) in enumerate(_STREAMS):
        if getattr(sys, name) is None:
            found = os.open(os.devnull, how)  # the lowest number that is free
            if found == number:
                os.set_inheritable(number, True)
            setattr(sys, name, open(found, mode, encoding="utf-8"))  # noqa: PTH123, SIM115


def drop_the_rest(stream: TextIO) -> None:
    """Nobody takes what is printed any more: nothing is left to be flushed at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
