"""`glint measure`: what a scene's light is like, averaged over a turn."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.options import AS_JSON, SCENE
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working

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
@AS_JSON
def measure(scene: Path, as_json: bool) -> None:
    """Measure SCENE over a turn: spots, evenness, cover, size, brightness, speed, flicker, energy,
    strings.

    Means are taken over as many poses as it takes for every one of them to be steady to 1 %; the
    error is that of the mean. What each figure means stands in the report of `glint compare`.

    Example: glint measure scenes/spiked-twenty.toml
    """
    from glint.analysis.measure import measure as measured
    from glint.analysis.strings_seen import seen_in_words
    from glint.analysis.table import as_json as in_json
    from glint.analysis.table import rows_of
    from glint.scene.build import load

    with working("measuring") as tell:
        found = measured(load(scene), tell=tell)
    if as_json:
        print_json(in_json(found))
        return
    print_table(FIGURES, rows_of(found), found.title)
    steady = "steady to 1 %" if found.stable else "not all steady to 1 %: see the errors"
    words = seen_in_words(found)
    if words:
        click.echo(words, err=True)
    click.echo(
        f"{found.poses} poses over {found.degrees:g} degrees ({found.energy_poses} for the "
        f"energy), {steady}; {found.tiles} tiles, balls of {found.grams:.0f} g",
        err=True,
    )
