"""`glint compare`: candidates side by side."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import (
    AS_JSON,
    FORCE,
    PROGRESS,
    SCHEDULER,
    WORKERS,
    output_option,
    scene_files,
)
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.errors import printable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from glint.report.candidate import Answer
    from glint.schema.tables import SceneFile

ENDINGS = (".html", ".png", ".csv", ".json")

FIRST = (
    *("spots", "spots_per_tile", "spots_per_gram", "unevenness", "gap_deg", "flashing_share"),
    *("string_lux", "string_images"),
)
"""Figures that every terminal shows; the others where there is room."""


@click.command()
@click.argument(
    "scenes",
    type=click.Path(path_type=Path),
    nargs=-1,
    required=True,
    shell_complete=scene_files,
)
@click.option("--catalogue", is_flag=True, help="Every shape that the stock makes, instead.")
@click.option("--triangles", type=click.IntRange(0, 10**6), help="Triangles in stock.")
@click.option("--squares", type=click.IntRange(0, 10**6), help="Squares in stock.")
@output_option(
    "A report (.html), contact sheet (.png) or table (.csv, .json); may be given again.",
    "outputs",
    multiple=True,
)
@WORKERS
@SCHEDULER
@AS_JSON
@FORCE
@PROGRESS
def compare(
    scenes: tuple[Path, ...],
    catalogue: bool,
    triangles: int | None,
    squares: int | None,
    outputs: tuple[Path, ...],
    workers: int,
    scheduler: str | None,
    as_json: bool,
    force: bool,
) -> None:
    """Measure SCENES side by side: one candidate each, or the [[candidate]] tables of a scene.

    With --catalogue every shape of the catalogue that --triangles and --squares make hangs in
    turn in the first ball's place: same room, same lamps, same hanging point, same tiles.

    Example: glint compare scenes/apple-tasting.toml -o report.html
    """
    from glint.analysis.candidates import candidates_of, catalogue_candidates, unlike
    from glint.analysis.verdict import in_plain_words
    from glint.errors import UsageError
    from glint.files.atomic import check_output
    from glint.parallel.executors import Workers
    from glint.report.compare import compare as compared
    from glint.report.table import in_json, left_out, measured
    from glint.scene.build import build
    from glint.schema.read import read_scene

    if not catalogue and (triangles is not None or squares is not None):
        raise UsageError("--triangles and --squares go with --catalogue")
    if catalogue and triangles is None and squares is None:
        raise UsageError(
            "--catalogue needs the stock of tiles: --triangles N, --squares N, or both"
        )
    for output in outputs:
        check_output(output, force=force, endings=ENDINGS)
    read = [read_scene(scene) for scene in scenes]
    for file in read:
        keep_inputs(file, *outputs)
    files: list[SceneFile] = []
    for file in read:
        if not catalogue and not file.candidate:
            build(file)  # what is asked for by name is not left out
        stock = (triangles or 0, squares or 0)
        files += catalogue_candidates(file, *stock) if catalogue else candidates_of(file)
    pictures = any(output.suffix.lower() in (".html", ".png") for output in outputs)
    with working("comparing") as tell:
        crew = Workers(workers, scheduler)
        answers = compared(files, crew, pictures, tell=tell)
        if not measured(answers):
            raise UsageError("\n".join(f"left out: {line}" for line in left_out(answers)))
        apart = unlike(files)
        for output in outputs:
            _write(output, answers, read[0], apart, force)
    if as_json:
        print_json({**in_json(answers), "unlike": apart})
        return
    _print(answers)
    for line in left_out(answers):
        click.echo(f"left out: {printable(line)}", err=True)
    if apart:
        click.echo(f"not the same in all: {', '.join(apart)}", err=True)
    click.echo(printable(in_plain_words(measured(answers)), 10_000), err=True)
    for output in outputs:
        click.echo(f"wrote {printable(str(output))}", err=True)


def _print(answers: Sequence[Answer]) -> None:
    from glint.report.table import columns_of, heading, mean_of, measured

    found = measured(answers)
    keys = columns_of(found)
    columns = [
        Column("number", "no."),
        Column("candidate", "candidate"),
        Column("tiles", "tiles"),
        *(Column(key, *_stacked(*heading(key)), spare=key not in FIRST) for key in keys),
    ]
    rows = [
        [number, one.title, one.tiles, *(float(mean_of(one, key)) for key in keys)]
        for number, one in enumerate(found, start=1)
    ]
    if rows:
        print_table(columns, rows, "Means over a turn")


def _stacked(heading: str, unit: str) -> tuple[str, str]:
    """A heading of several words one above the other: figures are narrower than their names."""
    return "\n".join(heading.split()), unit


def _write(
    output: Path, answers: Sequence[Answer], file: SceneFile, apart: list[str], force: bool
) -> None:
    from glint.files.atomic import whole_file
    from glint.report.table import as_csv, in_json

    ending = output.suffix.lower()
    with whole_file(output, force) as place:
        if ending == ".csv":
            place.write_text(as_csv(answers), encoding="utf-8", newline="")
        elif ending == ".json":
            place.write_text(json.dumps({**in_json(answers), "unlike": apart}), encoding="utf-8")
        elif ending == ".html":
            from glint.report.page import page

            place.write_text(page(answers, file, apart), encoding="utf-8")
        else:
            from PIL import Image

            from glint.report.pictures import contact_sheet, strips_of

            Image.fromarray(contact_sheet(strips_of(answers).strips)).save(place, format="PNG")
