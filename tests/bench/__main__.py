"""Runs the benchmark and prints its table as Markdown."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator

from tests.bench import haze, light_map, loop, per_tile, still, string, study
from tests.bench.figures import Figure, machine, table

ROWS: dict[str, Callable[[bool], Iterator[Figure]]] = {
    "still": still.measure,
    "light-map": light_map.measure_ring_laid,
    "stand-in": light_map.measure_raised,
    "spiked": light_map.measure_spiked,
    "error": light_map.measure_error,
    "per-tile": per_tile.measure,
    "loop": loop.measure,
    "compare": study.compared,
    "measure": study.grown,
    "string": string.measure,
    "eye-loop": loop.measure_eye,
    "haze": haze.measure,
}


def main() -> None:
    """Run all rows, or one."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="smaller; under a minute")
    parser.add_argument("--row", choices=ROWS, action="append", help="only this one")
    chosen = parser.parse_args()
    before = machine()
    figures: list[Figure] = []
    for name in chosen.row or ROWS:
        start = time.perf_counter()
        figures.extend(ROWS[name](chosen.quick))
        print(f"{name}: {time.perf_counter() - start:.0f} s", file=sys.stderr)
    print(f"{before}\n\n{table(figures)}")


if __name__ == "__main__":
    main()
