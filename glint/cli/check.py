"""`glint check`: what is in a scene, or what is wrong with it."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.options import AS_JSON, SCENE
from glint.cli.printing import print_json


@click.command()
@SCENE
@AS_JSON
def check(scene: Path, as_json: bool) -> None:
    """Read and build SCENE; say what is in it, or what is wrong.

    Example: glint check scenes/spiked-twenty.toml
    """
    from glint.rig.scene import load

    built = load(scene)
    balls = [
        {
            "name": ball.name,
            "tiles": len(ball.body.tile_sides),
            "panels": len(ball.body.panel_sides),
            "diameter_m": round(2 * ball.body.radius, 4),
            "symmetry": ball.body.symmetry,
        }
        for ball in built.balls
    ]
    lamps = [{"name": lamp.name, "lumens": round(lamp.lumens, 2)} for lamp in built.lamps]
    if as_json:
        print_json({"title": built.file.title, "balls": balls, "lamps": lamps})
        return
    click.echo(built.file.title)
    for ball in balls:
        click.echo(
            f"  ball {ball['name']}: {ball['tiles']} tiles, {ball['panels']} panels, "
            f"{ball['diameter_m']} m across, looks the same {ball['symmetry']} times a turn"
        )
    for lamp in lamps:
        click.echo(f"  lamp {lamp['name']}: {lamp['lumens']} lm")
