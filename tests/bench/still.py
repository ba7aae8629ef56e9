"""The first still after a fresh install, later ones, and their memory: the real command line."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.bench.command import SCENES, run
from tests.bench.figures import Figure

NAMES = ("yardstick", "lantern", "spiked-twenty")


def measure(quick: bool) -> Iterator[Figure]:
    """An empty folder for compiled code stands in for the fresh install."""
    with tempfile.TemporaryDirectory() as folder:
        cache = {"NUMBA_CACHE_DIR": str(Path(folder) / "compiled")}
        picture = Path(folder) / "a.png"

        def still(name: str, size: int):
            place = SCENES / f"{name}.toml"
            return run("still", place, "--size", size, "-o", picture, "--force", **cache)

        first = still(NAMES[0], 1024)
        note = f"{first.worked:.1f} s of one core"
        yield Figure("first still, compiling included", first.seconds, "s", 30.0, note=note)
        memory = 0.0
        for name in NAMES:
            runs = [still(name, 1024) for _ in range(1 if quick else 5)]
            seconds = statistics.median(each.seconds for each in runs)
            worked = statistics.median(each.worked for each in runs)
            memory = max(memory, max(each.memory for each in runs))
            note = f"{worked:.1f} s of one core"
            yield Figure(f"later still, 1024², {name}", seconds, "s", 2.5, note=note)
        yield Figure("peak memory of a still, 1024²", memory / 1e9, "GB", 0.8)
        if not quick:
            large = [still(name, 4096) for name in NAMES]
            most = max(each.memory for each in large)
            slowest = max(each.seconds for each in large)
            note = f"the slowest took {slowest:.1f} s"
            yield Figure("peak memory of a still, 4096²", most / 1e9, "GB", 2.0, note=note)
