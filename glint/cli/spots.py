"""`glint spots`: a row for every spot."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.options import AS_JSON, AT, SCENE
from glint.cli.printing import print_json


@click.command()
@SCENE
@AT
@AS_JSON
def spots(scene: Path, degrees: float, as_json: bool) -> None:
    """List every spot that SCENE throws: a row for each chain of tiles on each surface.

    Example: glint spots scenes/lantern.toml --at 15
    """
    from glint.rig.light import Spot
    from glint.rig.light import spots as spots_of
    from glint.rig.scene import load

    rows = spots_of(load(scene).at(degrees=degrees))
    if as_json:
        print_json([row._asdict() for row in rows])
        return
    click.echo("\t".join(Spot._fields))
    for row in rows:
        chain = "-".join(str(tile) for tile in row.tiles)
        cells = [f"{v:.5g}" if isinstance(v, float) else str(v) for v in row]
        cells[2] = chain
        click.echo("\t".join(cells))
