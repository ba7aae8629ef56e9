"""Where the time of the command line goes, from its start to the file."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from tests.bench.command import ROOT, SCENES, run, run_part
from tests.bench.figures import markdown, median
from tests.bench.stages import ORDER

FRAMES = {"dome": 240, "eye": 120}
DEMOS = {
    "dome": ("spiked-twenty", "lantern", "yardstick"),
    "eye": ("spiked-twenty", "bell", "orchard"),
}
HEADINGS = ("ms", "whole", *ORDER, "end", "rest", "not watched")
LEGEND = (
    "Start: the interpreter and all imports. Kernels: compiled code fetched. Scene: read, built, "
    "posed. Map: light maps with their shadows. Eye: what is seen. Write: encoded and brought to "
    "the disk. End: until the process is gone. Each stage without those within it; median of "
    "{repeats}. A loop's frames ({frames} here, at most) are made by a thread of "
    "their own, whose row has times that run beside those of the row above: there the main thread "
    "encodes, or waits for them. Not watched: the same run without any timers."
)


class Watched(NamedTuple):
    """One run: seconds of the whole, of each stage of the main thread, and of the others.

    end: from the last line of the program until its process is gone. late: modules of glint that
    were imported within another stage than the start.
    """

    whole: float
    end: float
    main: Mapping[str, float]
    other: Mapping[str, float]
    late: Sequence[str]

    @property
    def rest(self) -> float:
        """What no stage of the main thread took."""
        return self.whole - self.end - sum(self.main.values())


def profiled(quick: bool) -> str:
    """The Markdown table of stills and loops, and what its headings mean."""
    rows: list[tuple[str, ...]] = []
    repeats, most = (1, dict.fromkeys(FRAMES, 30)) if quick else (3, FRAMES)
    for view, names in DEMOS.items():
        for command in ("still", "loop"):
            for name in names[:1] if quick else names:
                start = time.perf_counter()
                rows += _rows(command, view, name, repeats, most[view])
                seconds = time.perf_counter() - start
                print(f"{command}, {view}, {name}: {seconds:.0f} s", file=sys.stderr)
    frames = ", ".join(f"{number} of the {view}" for view, number in most.items())
    return f"{LEGEND.format(repeats=repeats, frames=frames)}\n\n{markdown(HEADINGS, rows)}"


def _rows(command: str, view: str, name: str, repeats: int, frames: int) -> list[tuple[str, ...]]:
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / ("a.png" if command == "still" else "a.mp4")
        words = (command, SCENES / f"{name}.toml", "--view", view, "-o", target, "--force")
        runs, plain = [], []
        for _ in range(repeats):
            runs.append(watched(frames, *words))
            plain.append(
                run(*words).seconds if command == "still" else run_part(frames, *words).seconds
            )
    what = f"{command}, {view}, {name}"
    return rows_of(what, runs, median(plain))


def rows_of(what: str, runs: Sequence[Watched], plain: float) -> list[tuple[str, ...]]:
    """A row of the main thread, and one of the thread that makes frames, if there is one; ms."""
    keys = ("whole", "end", "rest")
    whole, end, rest = (median([getattr(run, key) for run in runs]) for key in keys)
    main = [_ms(median([run.main.get(stage, 0.0) for run in runs])) for stage in ORDER]
    rows = [(what, _ms(whole), *main, _ms(end), _ms(rest), _ms(plain))]
    if any(set(run.other) - {"kernels"} for run in runs):
        other = [_ms(median([run.other.get(stage, 0.0) for run in runs])) for stage in ORDER]
        rows.append(("beside it, its frames", "", *other, "", "", ""))
    return rows


def watched(frames: int, *words: Any) -> Watched:
    """Runs `glint WORDS` with a watch on every stage; a loop's first frames only."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stages.json"
        start = time.perf_counter()
        command = [sys.executable, "-m", "tests.bench.child", "--frames", str(frames)]
        command += ["--stages", str(path), repr(start), *map(str, words)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT, env=os.environ)
        gone = time.perf_counter()
        found = json.loads(path.read_text())
    whole, end = gone - start, gone - found["left"]
    return Watched(whole, end, found["main"], found["other"], found["late"])


def _ms(seconds: float) -> str:
    return "" if seconds < 0.0005 else f"{1000 * seconds:,.0f}"
