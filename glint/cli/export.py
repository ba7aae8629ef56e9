"""`glint export`: the geometry of a scene for other programs."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import AT, FORCE, SCENE, SECONDS, output_option, pose_at
from glint.errors import printable


@click.command()
@SCENE
@AT
@SECONDS
@click.option(
    "--part",
    "parts",
    type=click.Choice(["mirrors", "panels", "room"]),
    multiple=True,
    help="Only this part; may be given several times.",
)
@output_option("A .glb, .stl, .obj or .ply file.", required=True)
@FORCE
def export(
    scene: Path,
    degrees: float,
    seconds: float | None,
    parts: tuple[str, ...],
    output: Path,
    force: bool,
) -> None:
    """Write the geometry of SCENE: metres, in the room's frame, z up.

    Mirrors are the reflecting faces of the tiles, panels the flat shapes under them; the room is
    closed, its normals point inside. In a GLB file each is a node, in an OBJ file an object.

    Example: glint export scenes/lantern.toml --at 15 -o lantern.glb
    """
    from glint.build.export import ENDINGS, PARTS
    from glint.build.export import export as write
    from glint.files.atomic import check_output
    from glint.scene.build import load

    check_output(output, force=force, endings=ENDINGS)
    built = load(scene)
    keep_inputs(built.source, output)
    write(pose_at(built, degrees, seconds), output, parts=parts or PARTS, force=force)
    click.echo(f"wrote {printable(str(output))}")
