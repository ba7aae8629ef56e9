"""Runs a command and prints its wall-clock seconds, processor seconds and peak resident memory.

A script of its own, which imports next to nothing: a process begins as a copy of its parent, and
Linux counts that as its peak. Started from the benchmark itself, every command would seem to need
as much memory as the benchmark has.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time


def main() -> int:
    """Run the command; its own exit status."""
    start = time.perf_counter()
    process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    sys.stdout.write(f"{seconds} {used.ru_utime + used.ru_stime} {used.ru_maxrss}\n")
    return 1 if process.returncode < 0 else process.returncode


if __name__ == "__main__":
    sys.exit(main())
