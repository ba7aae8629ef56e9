"""The command line: parses, calls and prints."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

import click

from glint import __version__
from glint.scene.errors import GlintError, nearest_spelling

SCENE = click.argument("scene", type=click.Path(path_type=Path))
AT = click.option(
    "--at", "degrees", type=click.FloatRange(-1e6, 1e6), default=0.0, help="Turned by, degrees."
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


class _Commands(click.Group):
    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError:
            near = nearest_spelling(args[0], self.list_commands(ctx))
            hint = f'; did you mean "{near}"?' if near else ""
            known = ", ".join(self.list_commands(ctx))
            raise click.UsageError(f'no command "{args[0]}"; there are: {known}{hint}') from None


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="glint")
def glint() -> None:
    """Foretells the light of a hand-made mirrored polyhedron before a tile is glued."""


@glint.command()
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
    found = {"title": built.file.title, "balls": balls, "lamps": lamps}
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False))
        return
    click.echo(built.file.title)
    for ball in balls:
        click.echo(
            f"  ball {ball['name']}: {ball['tiles']} tiles, {ball['panels']} panels, "
            f"{ball['diameter_m']} m across, looks the same {ball['symmetry']} times a turn"
        )
    for lamp in lamps:
        click.echo(f"  lamp {lamp['name']}: {lamp['lumens']} lm")


@glint.command()
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
        click.echo(json.dumps([row._asdict() for row in rows], ensure_ascii=False))
        return
    click.echo("\t".join(Spot._fields))
    for row in rows:
        chain = "-".join(str(tile) for tile in row.tiles)
        cells = [f"{v:.5g}" if isinstance(v, float) else str(v) for v in row]
        cells[2] = chain
        click.echo("\t".join(cells))


@glint.command()
@SCENE
@AT
@click.option("--view", type=click.Choice(["dome", "floor"]), default="dome", show_default=True)
@click.option("--size", type=click.IntRange(64, 4096), default=1024, show_default=True)
@click.option("--ev", type=click.FloatRange(-20, 20), default=0.0, help="Stops brighter.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="A .png file.")
@click.option("--force", is_flag=True, help="Replace an existing file.")
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

    from glint.picture.output import whole_file
    from glint.picture.still import draw
    from glint.rig.scene import load
    from glint.scene.errors import UsageError

    target = output or Path(f"{scene.stem}-{view}.png")
    if target.suffix.lower() != ".png":
        raise UsageError(f"{target}: a still is a .png file")
    pose = load(scene).at(degrees=degrees)
    with whole_file(target, force) as place:
        Image.fromarray(draw(pose, view, size, ev)).save(place, format="PNG")
    click.echo(f"wrote {target}")


@glint.command()
@SCENE
@click.option("--view", type=click.Choice(["dome", "floor"]), default="dome", show_default=True)
@click.option("--size", type=click.IntRange(64, 2160), default=720, show_default=True)
@click.option("--fps", type=click.IntRange(1, 120), default=30, show_default=True)
@click.option("--shutter", type=click.FloatRange(0, 360), default=180.0, show_default=True)
@click.option("--ev", type=click.FloatRange(-20, 20), default=0.0, help="Stops brighter.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help=".mp4, .gif, .webp or .png")
@click.option("--force", is_flag=True, help="Replace an existing file.")
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
    built = load(scene)
    silent = not sys.stderr.isatty()
    with click.progressbar(length=100, label="filming", file=sys.stderr, hidden=silent) as bar:

        def tell(done: int, total: int) -> None:
            bar.update(round(100 * done / total) - bar.pos)

        count = film(built, target, view, fps, size, shutter, ev, force, tell)
    click.echo(f"wrote {target}: {count} frames")


def main() -> None:
    """Run the command line: exit status 0 done, 2 bad input, 1 anything else."""
    try:
        glint.main(standalone_mode=False)
    except click.exceptions.Exit as leaving:
        sys.exit(leaving.exit_code)
    except click.ClickException as error:
        _say(error.format_message(), 2)
    except GlintError as error:
        _say(str(error), error.exit_status)
    except (KeyboardInterrupt, click.Abort):
        _say("stopped", 1)
    except BrokenPipeError:
        # The reader went away: no more to say, and nothing to flush at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except Exception as error:
        if os.environ.get("GLINT_TRACEBACK"):
            raise
        _say(f"internal error: {type(error).__name__}: {error}", 1)


def _say(text: str, status: int) -> None:
    for line in text.splitlines():
        click.echo(f"glint: {line}", err=True)
    sys.exit(status)
