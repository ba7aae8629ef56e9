"""`python -m tests.bench.child [--frames N] [--stages FILE SINCE] COMMAND ...`: glint's command
line, a loop's as far as its first N frames, or with the time of each stage left in a file.

SINCE: `time.perf_counter()` of the parent when it started this process; the clock is the system's.
"""

from __future__ import annotations

import argparse
import itertools
import json
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.bench.stages import Watch, import_for, wrap_all


def first_frames(write_movie: Callable[..., None], most: int) -> Callable[..., None]:
    """A writer of loops that takes the first frames only."""

    def write(
        path: Path, frames: Callable[[], Any], count: int, *others: Any, **named: Any
    ) -> None:
        some = min(count, most)

        def first() -> Iterator[Any]:
            every = frames()
            try:
                yield from itertools.islice(every, some)
            finally:
                every.close()

        write_movie(path, first, some, *others, **named)

    return write


def main() -> None:
    """Run a command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.child", description=__doc__)
    parser.add_argument("--frames", type=int)
    parser.add_argument("--stages", nargs=2, metavar=("FILE", "SINCE"))
    parser.add_argument("command", nargs=argparse.REMAINDER)
    wanted = parser.parse_args()
    watch = Watch()
    with watch.stage("start"):
        from glint.cli import entry

        entry.prepare()
        if wanted.stages:
            import_for(wanted.command[0])
    if wanted.frames is not None:
        import glint.render.loop as film

        film.write_movie = first_frames(film.write_movie, wanted.frames)
    before = set(sys.modules)
    if wanted.stages:
        wrap_all(watch)
        watch.seconds[True]["start"] = time.perf_counter() - float(wanted.stages[1])
    sys.argv = ["glint", *wanted.command]
    try:
        entry.program()
    finally:
        if wanted.stages:
            late = sorted(n for n in set(sys.modules) - before if n.startswith("glint."))
            threads = {"main": watch.seconds[True], "other": watch.seconds[False]}
            found = {**threads, "late": late, "left": time.perf_counter()}
            Path(wanted.stages[0]).write_text(json.dumps(found))


if __name__ == "__main__":
    main()
