"""`glint measure`: what a scene's light is like, averaged over a turn."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import AS_JSON, CSV_FILE, FORCE, PROGRESS, SCENE
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.errors import printable

FIGURES = (
    Column("measure", "measure"),
    Column("unit", "unit"),
    Column("mean", "mean"),
    Column("least", "least"),
    Column("most", "most"),
    Column("error_percent", "error", "%", 2),
)


@click.command()
@SCENE
@CSV_FILE
@AS_JSON
@PROGRESS
@FORCE
def measure(scene: Path, csv_file: Path | None, as_json: bool, force: bool) -> None:
    """Measure SCENE over a turn: spots, evenness, cover, size, brightness, speed, flicker, energy,
    strings.

    Means are taken over as many poses as it takes for every one of them to be steady to 1 %; the
    error is that of the mean. What each figure means stands in the report of `glint compare`.

    Example: glint measure scenes/spiked-twenty.toml
    """
    from glint.analysis.measure import measure as measured
    from glint.analysis.strings_seen import seen_in_words
    from glint.analysis.table import as_csv, rows_of
    from glint.analysis.table import as_json as in_json
    from glint.files.atomic import check_output, whole_file
    from glint.scene.build import load

    if csv_file is not None:
        check_output(csv_file, force=force, endings=(".csv",))
    with working("measuring") as tell:
        built = load(scene)
        keep_inputs(built.source, csv_file)
        found = measured(built, tell=tell)
    if csv_file is not None:
        with whole_file(csv_file, force) as place:
            place.write_text(as_csv(found), encoding="utf-8", newline="")
    if as_json:
        print_json(in_json(found))
        return
    print_table(FIGURES, rows_of(found), found.title)
    for line in found.unglued:
        click.echo(f"warning: {printable(line)}", err=True)
    steady = "steady to 1 %" if found.stable else "not all steady to 1 %: see the errors"
    words = seen_in_words(found)
    if words:
        click.echo(words, err=True)
    click.echo(
        f"{found.poses} poses over {found.degrees:g} degrees ({found.energy_poses} for the "
        f"energy), {steady}; {found.tiles} tiles, balls of {found.grams:.0f} g",
        err=True,
    )
    if csv_file is not None:
        click.echo(f"wrote {printable(str(csv_file))}", err=True)
