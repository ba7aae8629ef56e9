"""`glint still`: one picture."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.options import AT, EV, FORCE, SCENE, VIEW
from glint.scene.errors import UsageError


@click.command()
@SCENE
@AT
@VIEW
@click.option("--size", type=click.IntRange(64, 4096), default=1024, show_default=True)
@EV
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png file.")
@FORCE
def still(
    scene: Path,
    degrees: float,
    view: str,
    size: int,
    ev: float,
    output: Path | None,
    force: bool,
) -> None:
    """Draw one picture of SCENE.

    Example: glint still scenes/yardstick.toml --at 20 -o yardstick.png
    """
    from PIL import Image

    from glint.picture.still import draw
    from glint.rig.scene import load
    from glint.scene.output import whole_file

    target = output or Path(f"{scene.stem}-{view}.png")
    if target.suffix.lower() != ".png":
        raise UsageError(f"{target}: a still is a .png file")
    pose = load(scene).at(degrees=degrees)
    with whole_file(target, force) as place:
        Image.fromarray(draw(pose, view, size, ev)).save(place, format="PNG")
    click.echo(f"wrote {target}")
