"""`glint place`: the best hanging height, lamp places and the like."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import AS_JSON, FORCE, PROGRESS, SCENE, SCHEDULER, WORKERS, output_option
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.errors import printable

if TYPE_CHECKING:
    from glint.report.candidate import Answer
    from glint.search.optimize import Placing

NUMBERS = (
    Column("free", "free"),
    Column("start", "start"),
    Column("best", "best"),
)
GAINS = (
    Column("measure", "measure"),
    Column("unit", "unit"),
    Column("start", "start"),
    Column("best", "best"),
)
TOLD = (
    "spots",
    "spots_per_tile",
    "unevenness",
    "unevenness_of_turn",
    "gap_deg",
    "cover_share",
    "swept_share",
    "brightness_p90_lux",
    "speed_p90_m_s",
    "passes_per_s",
    "flashing_share",
)


@click.command()
@SCENE
@output_option(
    "The new scene, a .toml file; the picture of the search stands beside it as .png.",
    required=True,
)
@click.option(
    "--tries",
    type=click.IntRange(15, 100000),
    default=600,
    show_default=True,
    help="Placings to look at, all included.",
)
@WORKERS
@SCHEDULER
@AS_JSON
@FORCE
@PROGRESS
def place(
    scene: Path,
    output: Path,
    tries: int,
    workers: int,
    scheduler: str | None,
    as_json: bool,
    force: bool,
) -> None:
    """Search what SCENE leaves free, its [[free]] tables, for what its [goal] wants.

    The result is the same scene with other numbers, a picture of the score over the two numbers
    that matter most, and what was gained over the start. The same seed finds the same placing.
    Balls whose height or size is free stay clearance_m of [goal] above the floor.

    Example: glint place scenes/find-a-place.toml -o placed.toml
    """
    from glint.errors import GlintError
    from glint.files.atomic import check_output, whole_file
    from glint.parallel.executors import Workers
    from glint.report.compare import compare
    from glint.report.landscape import draw_landscape
    from glint.schema.read import read_scene
    from glint.search.optimize import place as placed
    from glint.search.rewrite import rewritten

    picture = output.with_suffix(".png")
    check_output(output, force=force, endings=(".toml",))
    check_output(picture, force=force)
    file = read_scene(scene)
    keep_inputs(file, output, picture)
    text = scene.read_text(encoding="utf-8-sig")
    crew = Workers(workers, scheduler)
    with working("searching") as tell:
        found = placed(file, crew, tries, tell)
    with working("measuring start and best") as tell:
        before = file.replaced(title=f"{file.title}: start")
        after = found.file.replaced(title=f"{file.title}: best")
        answers = compare([before, after], crew, tell=tell)
    for answer in answers:
        if answer.problem:
            raise GlintError(answer.problem)
    with whole_file(output, force) as where:
        where.write_text(rewritten(text, file, found.best), encoding="utf-8")
    with whole_file(picture, force) as where:
        draw_landscape(found, where)
    if as_json:
        print_json(_in_json(found, answers))
        return
    print_table(NUMBERS, zip(found.names, found.start, found.best, strict=True))
    click.echo()
    print_table(GAINS, _gains(answers), "Means over a turn")
    for line in answers[1].measures.unglued if answers[1].measures else ():
        click.echo(f"warning: {printable(line)}", err=True)
    for limit, part in found.broken.items():
        click.echo(f"warning: {limit} is broken by {100.0 * part:.0f} %", err=True)
    for line in found.limits:
        click.echo(f"note: {printable(line)}: a better place may lie beyond", err=True)
    click.echo(
        f"score {found.scores[1]:.3f}, start {found.scores[0]:.3f}; {found.tried} of {tries} "
        f"placings looked at, {found.refused} ruled out by geometry without a look; "
        f"wrote {printable(str(output))} and {printable(str(picture))}",
        err=True,
    )


def _gains(answers: list[Answer]) -> list[list[Any]]:
    from glint.report.table import heading, mean_of, measured

    start, best = measured(answers)
    keys = [key for key in TOLD if key in start.figures and key in best.figures]
    return [[*heading(key), float(mean_of(start, key)), float(mean_of(best, key))] for key in keys]


def _in_json(found: Placing, answers: list[Answer]) -> dict[str, Any]:
    from glint.analysis.table import as_json
    from glint.report.table import measured

    start, best = (as_json(one) for one in measured(answers))
    return {
        "free": [
            {"name": name, "start": before, "best": after}
            for name, before, after in zip(found.names, found.start, found.best, strict=True)
        ],
        "score": {"start": found.scores[0], "best": found.scores[1]},
        "broken": found.broken,
        "tried": found.tried,
        "refused": found.refused,
        "limits": list(found.limits),
        "start": start,
        "best": best,
    }
