"""Runs the benchmark and prints its table as Markdown."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from glint.files.atomic import check_output, whole_file
from tests.bench import (
    edits,
    exposure,
    haze,
    light_map,
    live,
    loop,
    per_tile,
    still,
    string,
    study,
)
from tests.bench.figures import Figure, table
from tests.bench.machine import machine
from tests.bench.plots import write_plots
from tests.bench.profile import profiled
from tests.bench.quote import quote, quoted

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
    "edits": edits.measure,
    "exposure": exposure.measure,
    "live": live.measure,
}

QUICK = (
    "A quick look: fewer repeats, smaller maps, shorter loops, and no first still. "
    "Bars are meant for the whole benchmark and not asked here."
)


TOLD = "Only told:"


def main() -> None:
    """Run all rows, or some; or the profile, or the plots."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="smaller; under a minute")
    parser.add_argument("--row", choices=ROWS, action="append", help="only this one")
    parser.add_argument("--profile", action="store_true", help="where the time goes instead")
    parser.add_argument("--plots", type=Path, metavar="FOLDER", help="how time grows instead")
    parser.add_argument("--write", type=Path, metavar="FILE.md", help="keep the Markdown as well")
    parser.add_argument(
        "--quote",
        type=Path,
        metavar="DOCUMENT.md",
        help="put what has a bar, or the profile, between the document's comments for it",
    )
    chosen = parser.parse_args()
    name = "profile" if chosen.profile else "bench"
    if chosen.quote is not None:
        if chosen.quick or chosen.row or chosen.plots:
            parser.error("what is quoted is the whole table, or the whole profile")
        quoted(chosen.quote.read_text(), name, "")  # refuses before any work is done
    if chosen.write is not None:
        check_output(chosen.write, force=True, endings=(".md",))
    before = machine()
    if chosen.plots is not None:
        text = write_plots(chosen.plots, before, chosen.quick)
    elif chosen.profile:
        text = f"{before}\n\n{profiled(chosen.quick)}"
    else:
        text = report(before, _figures(chosen.row or list(ROWS), chosen.quick), chosen.quick)
    print(text)
    if chosen.write is not None:
        with whole_file(chosen.write, force=True) as place:
            place.write_text(f"{text}\n")
    if chosen.quote is not None:
        quote(chosen.quote, name, text.partition(TOLD)[0].rstrip())


def report(before: str, figures: list[Figure], quick: bool) -> str:
    """The machine, a table of what has a bar, and one of what is only told."""
    parts = [before, QUICK] if quick else [before]
    for barred, heading in ((True, ""), (False, TOLD)):
        some = [figure for figure in figures if (figure.bar is not None) == barred]
        if some:
            parts += [heading, table(some, quick)] if heading else [table(some, quick)]
    return "\n\n".join(parts)


def _figures(rows: list[str], quick: bool) -> list[Figure]:
    figures: list[Figure] = []
    for name in rows:
        start = time.perf_counter()
        figures.extend(ROWS[name](quick))
        print(f"{name}: {time.perf_counter() - start:.0f} s", file=sys.stderr)
    return figures


if __name__ == "__main__":
    main()
