"""`python -m tests.fuzz --cases 10000`: every case with a limit on its time and memory.

A case is told by its kind, the seed and its number, so `--kind mesh --seed 1 --first 4321
--cases 1` runs one again, and `--show` prints its scene instead.
"""

from __future__ import annotations

import argparse
import collections
import random
import sys
import tempfile
import time
from pathlib import Path

from tests.fuzz.cases import written
from tests.fuzz.commands import SHARES as COMMANDS
from tests.fuzz.worker import Worker

SHARES = {"evening": 20, "odd": 6, "wrong": 6, "text": 4, "mesh": 8, "lamp": 8, **COMMANDS}
CROWD_EVERY = 1000

ACCEPTED = ("built", "done")


def kind_of(seed: int, number: int) -> str:
    """The kind of a case, the same in every run."""
    if number % CROWD_EVERY == CROWD_EVERY // 2:
        return "crowd"
    chosen = random.Random(f"{seed} {number} kind")
    return chosen.choices(list(SHARES), list(SHARES.values()))[0]


def main() -> int:
    """Run the cases; 1 if one of them failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--cases", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0, help="number of the first case")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", choices=[*SHARES, "crowd"], help="only this kind")
    parser.add_argument("--minutes", type=float, default=1e9, help="stop after so long")
    parser.add_argument("--show", action="store_true", help="print the scenes, run nothing")
    wanted = parser.parse_args()
    if wanted.show:
        for number in range(wanted.first, wanted.first + wanted.cases):
            _show(wanted.kind or kind_of(wanted.seed, number), wanted.seed, number)
        return 0
    worker, tally = Worker(), collections.Counter()
    slowest, largest = [], []
    start = time.monotonic()
    for number in range(wanted.first, wanted.first + wanted.cases):
        if time.monotonic() - start > 60.0 * wanted.minutes:
            print(f"stopped before case {number}: {wanted.minutes:g} minutes are over")
            break
        kind = wanted.kind or kind_of(wanted.seed, number)
        found = worker.run(wanted.seed, number, kind)
        slowest = sorted([*slowest, (found.seconds, kind, number)])[-5:]
        largest = sorted([*largest, (found.memory, kind, number)])[-3:]
        tally[kind, found.ended] += 1
        if found.ended == "failed":
            again = f"--kind {kind} --seed {wanted.seed} --first {number} --cases 1"
            print(f"{again}\n{found.why}", flush=True)
    worker.end()
    _report(tally)
    for seconds, kind, number in slowest:
        print(f"slowest: {kind} {number}, {seconds:.1f} s")
    for memory, kind, number in largest:
        print(f"largest: {kind} {number}, {memory >> 20} MB")
    failed = sum(count for (_, ended), count in tally.items() if ended == "failed")
    print(f"{sum(tally.values())} cases in {time.monotonic() - start:.0f} s, {failed} failed")
    return 1 if failed else 0


def _report(tally: collections.Counter[tuple[str, str]]) -> None:
    """How many of each kind ended how, and what share was accepted."""
    rows: dict[str, collections.Counter[str]] = {}
    for (kind, ended), count in tally.items():
        rows.setdefault(kind, collections.Counter())[ended] += count
    rows["all"] = sum(rows.values(), collections.Counter())
    for kind, row in rows.items():
        share = sum(row[word] for word in ACCEPTED) / row.total()
        told = ", ".join(f"{count} {ended}" for ended, count in sorted(row.items()))
        print(f"{kind:8} {row.total():6} {share:6.1%} accepted: {told}")


def _show(kind: str, seed: int, number: int) -> None:
    with tempfile.TemporaryDirectory(prefix="glint-fuzz-") as name:
        path = written(kind, random.Random(f"{seed} {number} {kind}"), Path(name))
        print(f"# {kind} {number}")
        sys.stdout.buffer.write(path.read_bytes())


if __name__ == "__main__":
    sys.exit(main())
