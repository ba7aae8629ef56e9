"""Runs the benchmark and prints its table as Markdown."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from glint.scene.output import check_output, whole_file
from tests.bench import haze, light_map, loop, per_tile, profile, still, string, study
from tests.bench.figures import Figure, table
from tests.bench.machine import machine

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

QUICK = (
    "A quick look: fewer repeats, smaller maps, shorter loops, and no first still. "
    "Bars are meant for the whole benchmark and not asked here."
)


def main() -> None:
    """Run all rows, or some; or the profile, or the plots."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="smaller; under a minute")
    parser.add_argument("--row", choices=ROWS, action="append", help="only this one")
    parser.add_argument("--profile", action="store_true", help="where the time goes instead")
    parser.add_argument("--plots", type=Path, metavar="FOLDER", help="how time grows instead")
    parser.add_argument("--write", type=Path, metavar="FILE.md", help="keep the Markdown as well")
    chosen = parser.parse_args()
    if chosen.write is not None:
        check_output(chosen.write, force=True, endings=(".md",))
    before = machine()
    if chosen.plots is not None:
        from tests.bench.plots import write_plots

        text = write_plots(chosen.plots, before, chosen.quick)
    elif chosen.profile:
        text = f"{before}\n\n{profile.profiled(chosen.quick)}"
    else:
        figures = _figures(chosen.row or list(ROWS), chosen.quick)
        text = f"{before}\n\n{QUICK}\n\n" if chosen.quick else f"{before}\n\n"
        text += table(figures, chosen.quick)
    print(text)
    if chosen.write is not None:
        with whole_file(chosen.write, force=True) as place:
            place.write_text(f"{text}\n")


def _figures(rows: list[str], quick: bool) -> list[Figure]:
    figures: list[Figure] = []
    for name in rows:
        start = time.perf_counter()
        figures.extend(ROWS[name](quick))
        print(f"{name}: {time.perf_counter() - start:.0f} s", file=sys.stderr)
    return figures


if __name__ == "__main__":
    main()
