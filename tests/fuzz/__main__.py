"""`python -m tests.fuzz --cases 10000`: every case with a limit on its time and memory.

A case is told by its kind, the seed and its number, so `--kind mesh --seed 1 --first 4321
--cases 1` runs one again.
"""

from __future__ import annotations

import argparse
import collections
import random
import sys
import time

from tests.fuzz.worker import Worker

SHARES = {"scene": 35, "wrong": 20, "text": 10, "mesh": 20, "lamp": 15}
CROWD_EVERY = 1000


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
    wanted = parser.parse_args()
    worker, tally, slowest, failed = Worker(), collections.Counter(), [], 0
    start = time.monotonic()
    for number in range(wanted.first, wanted.first + wanted.cases):
        if time.monotonic() - start > 60.0 * wanted.minutes:
            print(f"stopped before case {number}: {wanted.minutes:g} minutes are over")
            break
        kind = wanted.kind or kind_of(wanted.seed, number)
        began = time.monotonic()
        ended, why = worker.run(wanted.seed, number, kind)
        slowest = sorted([*slowest, (time.monotonic() - began, kind, number)])[-5:]
        tally[kind, ended] += 1
        if ended == "failed":
            failed += 1
            print(
                f"--kind {kind} --seed {wanted.seed} --first {number} --cases 1\n{why}", flush=True
            )
    worker.end()
    for (kind, ended), count in sorted(tally.items()):
        print(f"{kind:8} {ended:8} {count:6}")
    for seconds, kind, number in slowest:
        print(f"slowest: {kind} {number}, {seconds:.1f} s")
    print(f"{sum(tally.values())} cases in {time.monotonic() - start:.0f} s, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
