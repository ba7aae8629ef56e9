"""The first still after a fresh install, later ones, and their memory: the real command line."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.bench.command import SCENES, Run, run, run_bare
from tests.bench.figures import Figure, in_turn, median

NAMES = ("yardstick", "lantern", "spiked-twenty")
PEER = "starting Python, its imports and writing a picture alone"


def measure(quick: bool) -> Iterator[Figure]:
    """Stills against what any program must do that starts Python and writes a picture."""
    with tempfile.TemporaryDirectory() as folder:
        own, bare = Path(folder) / "a.png", Path(folder) / "b.png"
        if not quick:
            yield from _first(Path(folder))
        peak: list[list[float]] = []
        for name in NAMES[:1] if quick else NAMES:
            runs: list[Run] = []
            peers: list[Run] = []

            def ours(runs=runs, name=name) -> float:
                runs.append(_still(name, 1024, own))
                return runs[-1].seconds

            def peer(peers=peers) -> float:
                peers.append(run_bare(1024, bare))
                return peers[-1].seconds

            race = in_turn(ours, peer, 2 if quick else 5)
            what = f"later still, 1024², {name}"
            worked = median([each.worked for each in runs])
            yield Figure(what, race.ours, "s", 2.5, note=f"{worked:.1f} s of one core")
            yield Figure(f"{what}: over {PEER}", race.over, "x")
            peak.append([each.memory for each in runs])
            least = median([each.memory for each in peers])
        memory = tuple(max(each) / 1e9 for each in zip(*peak, strict=True))
        note = f"the same peer: {least / 1e9:.2g} GB"
        yield Figure("peak memory of a still, 1024²", memory, "GB", 0.8, note=note)
        if not quick:
            yield _large(own)


def _still(name: str, size: int, picture: Path, **environment: str) -> Run:
    place = SCENES / f"{name}.toml"
    return run("still", place, "--size", size, "-o", picture, "--force", **environment)


def _first(folder: Path) -> Iterator[Figure]:
    """An empty folder for compiled code stands in for the fresh install."""
    runs = []
    later: list[float] = []
    for repeat in range(3):
        cache = {"NUMBA_CACHE_DIR": str(folder / f"compiled-{repeat}")}
        runs.append(_still(NAMES[0], 1024, folder / "a.png", **cache))
        later.append(_still(NAMES[0], 1024, folder / "a.png", **cache).seconds)
    note = f"{median([each.worked for each in runs]):.1f} s of one core"
    seconds = tuple(each.seconds for each in runs)
    yield Figure("first still, compiling included", seconds, "s", 30.0, note=note)
    times = tuple(a / b for a, b in zip(seconds, later, strict=True))
    yield Figure("first still, compiling included: over the next one", times, "x")


def _large(picture: Path) -> Figure:
    most, slowest = [], 0.0
    for _ in range(3):
        runs = [_still(name, 4096, picture) for name in NAMES]
        most.append(max(each.memory for each in runs) / 1e9)
        slowest = max(slowest, *(each.seconds for each in runs))
    note = f"the slowest took {slowest:.1f} s"
    return Figure("peak memory of a still, 4096²", tuple(most), "GB", 2.0, note=note)
