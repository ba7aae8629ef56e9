"""`glint build`: the build sheet."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.options import AS_JSON, FORCE, PROGRESS, SCENE, output_option
from glint.cli.printing import print_json
from glint.cli.progress import working
from glint.errors import printable


@click.command()
@SCENE
@output_option("Where the files go; by itself SCENE's name with -build.", metavar="FOLDER")
@click.option(
    "--paper",
    type=click.Choice(["A4", "letter"], case_sensitive=False),
    default="A4",
    show_default=True,
    help="The pages of the net.",
)
@FORCE
@AS_JSON
@PROGRESS
def build(scene: Path, output: Path | None, paper: str, force: bool, as_json: bool) -> None:
    """Write what a maker of SCENE's balls needs: tiles, order of work, weight, hanging, hours.

    The folder gets sheet.html, sheet.txt and sheet.json, and the net of every ball's panels, named
    after the ball, as NAME-net.svg and as NAME-net.pdf, to be printed at true scale. A warning is
    printed where the workshop owns fewer tiles than all balls take together with their spares.

    Example: glint build scenes/lantern.toml -o lantern-build
    """
    from glint.build.folder import check_folder, write_folder
    from glint.build.pages import FIGURES, PAGE, TEXT, files_of
    from glint.build.sheet import as_figures, sheet
    from glint.build.wording import grams
    from glint.scene.build import load

    target = output or Path(f"{scene.stem}-build")
    check_folder(target, (PAGE, TEXT, FIGURES), force)
    with working("writing the build sheet"):
        built = load(scene)
        whole = sheet(built)
        files = files_of(whole, paper)
    write_folder(target, files, force)
    if as_json:
        print_json(as_figures(whole))
        return
    for line in whole.unglued:
        click.echo(f"warning: {printable(line)}")
    for ball in whole.balls:
        ready = f"hang after {ball.hours.hang_after / 24:.1f} days"
        weight = grams(ball.mass.total)
        click.echo(f"{printable(ball.name)}: {ball.tile_count} tiles, {weight}, {ready}")
    for line in whole.shopping.short:
        click.echo(f"warning: {printable(line)}")
    click.echo(f"wrote {printable(str(target / PAGE))} and {len(files) - 1} more files")
