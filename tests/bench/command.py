"""The real command line in a process of its own: how long it takes, how much memory at most."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import NamedTuple

SCENES = Path(__file__).parents[2] / "scenes"
# The unit of the kernel's ru_maxrss: bytes on macOS, kibibytes elsewhere.
UNIT = 1 if sys.platform == "darwin" else 1024


class Run(NamedTuple):
    """Wall-clock seconds, processor seconds of all cores, and peak resident memory, bytes."""

    seconds: float
    worked: float
    memory: float


def run(*arguments: object, **environment: str) -> Run:
    """Runs `glint ARGUMENTS` with more environment; raises where it fails."""
    command = [sys.executable, "-m", "glint", *map(str, arguments)]
    start = time.perf_counter()
    process = subprocess.Popen(
        command, env=os.environ | environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    assert process.stderr is not None
    said = process.stderr.read().decode()
    _, status, used = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    process.stderr.close()
    if process.returncode:
        raise RuntimeError(f"glint {arguments[0]} ended with {process.returncode}: {said}")
    return Run(seconds, used.ru_utime + used.ru_stime, used.ru_maxrss * UNIT)
