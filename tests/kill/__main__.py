"""`python -m tests.kill --times 200`: programs ended at random moments, by any signal.

Whatever ends them: a file is the older one or whole, nobody of theirs lives on, what they leave is
cleared by the next one, and nothing but one line is said. Takes a second or two a time.
"""

from __future__ import annotations

import argparse
import random
import signal
import tempfile
from pathlib import Path

from tests.kill.cluster import cluster
from tests.kill.run import COMMANDS, Case, check_end, prepare, run, whole

SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT, signal.SIGHUP)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.kill", description=__doc__)
    parser.add_argument("--times", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="commands whose name holds this")
    parser.add_argument("--cluster", action="store_true", help="workers and schedulers too")
    wanted = parser.parse_args()
    chance = random.Random(wanted.seed)
    with tempfile.TemporaryDirectory(prefix="kill-") as folder:
        root = Path(folder)
        cases = [
            _made(root, name) for name in COMMANDS if wanted.only in name and not wanted.cluster
        ]
        slowest = 0.0
        for turn in range(0 if wanted.cluster else wanted.times):
            case = chance.choice(cases)
            number = chance.choice(SIGNALS)
            moment = chance.uniform(0.0, 1.05 * case.seconds)
            place = root / f"{turn}"
            prepare(place)
            ended = run(case.words, place, number, moment)
            check_end(case, place, ended, f"{turn}: {case.name}, {number.name} at {moment:.3f} s")
            slowest = max(slowest, ended.seconds)
            if turn % 20 == 19:
                print(f"{turn + 1} done; the slowest end took {slowest:.2f} s", flush=True)
        if wanted.cluster:
            _on_clusters(root, chance, wanted.times)
    print("all as it should be")


def _made(root: Path, name: str) -> Case:
    place = root / name.replace(" ", "-")
    prepare(place)
    case = whole(name, place)
    print(f"{name}: {case.seconds:.1f} s", flush=True)
    return case


def _on_clusters(root: Path, chance: random.Random, times: int) -> None:
    """Lose a worker, all of them, the scheduler, or the program that has the work done."""
    here = _made(root, "place")
    for turn in range(times):
        place = root / f"{turn}"
        prepare(place)
        with cluster(root / f"cluster-{turn}") as (address, scheduler, workers):
            lost = chance.choice(["worker", "workers", "scheduler", "program"])
            words = (*here.words[:-2], "--scheduler", address)
            moment = chance.uniform(0.3, 1.0) * here.seconds
            killed = {"worker": workers[:1], "workers": workers, "scheduler": [scheduler]}
            what = f"{turn}: lost {lost} at {moment:.2f} s"
            if lost == "program":
                ended = run(words, place, signal.SIGKILL, moment)
            else:
                ended = run(words, place, None, moment, killed[lost])
                assert ended.status in (0, 1), (what, ended)
                if lost == "worker":
                    assert ended.status == 0, (what, ended)
            check_end(here, place, ended, what)
            print(what, "->", ended.status, ended.said.splitlines()[-1:], flush=True)


if __name__ == "__main__":
    main()
