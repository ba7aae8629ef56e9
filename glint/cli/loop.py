"""`glint loop`: one period of the pattern as a film."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.inputs import keep_inputs
from glint.cli.mistakes import Number
from glint.cli.options import EV, FORCE, SCENE, VIEW
from glint.cli.progress import working
from glint.scene.errors import printable


@click.command()
@SCENE
@VIEW
@click.option("--size", type=click.IntRange(64, 2160), default=720, show_default=True)
@click.option("--fps", type=click.IntRange(1, 120), default=30, show_default=True)
@click.option("--shutter", type=Number(0, 360), default=180.0, show_default=True)
@EV
@click.option("-o", "--output", type=click.Path(path_type=Path), help=".mp4, .gif, .webp or .png")
@FORCE
def loop(
    scene: Path,
    view: str,
    size: int,
    fps: int,
    shutter: float,
    ev: float,
    output: Path | None,
    force: bool,
) -> None:
    """Film SCENE for one period of its pattern, without a visible join.

    Example: glint loop scenes/spiked-twenty.toml -o evening.mp4
    """
    from glint.picture.loop import loop as film
    from glint.rig.scene import load

    target = output or Path(f"{scene.stem}.mp4")
    with working("filming") as tell:
        built = load(scene)
        keep_inputs(built.file, target)
        count = film(built, target, view, fps, size, shutter, ev, force, tell)
    click.echo(f"wrote {printable(str(target))}: {count} frames")
