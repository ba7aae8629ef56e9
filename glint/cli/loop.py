"""`glint loop`: the motion as a film that can be played for ever."""

from __future__ import annotations

from pathlib import Path

import click

from glint.cli.inputs import keep_inputs
from glint.cli.mistakes import Number
from glint.cli.options import EV, FORCE, PROGRESS, SCENE, VIEW, PictureSize, output_option
from glint.cli.progress import working
from glint.errors import printable
from glint.render.movies import ENDINGS

BESIDE = "beside the loop"


@click.command()
@SCENE
@VIEW
@click.option(
    "--size",
    type=PictureSize(64, 4096),
    default=None,
    show_default="720",
    help="Pixels: WxH, or the height (an eye's view is 16 to 9 then, a panorama 4 to 1, all else "
    "square), or square (1080x1080), upright (1080x1920), wide (1920x1080); a round map stands in "
    "the middle of an oblong picture.",
)
@click.option("--fps", type=click.IntRange(1, 120), default=30, show_default=True)
@click.option("--shutter", type=Number(0, 360), default=180.0, show_default=True)
@EV
@click.option(
    "--longest",
    type=click.IntRange(2, 600),
    default=60,
    show_default=True,
    metavar="SECONDS",
    help="Where the motion repeats only later, or never, the join is faded.",
)
@click.option(
    "--max-mb",
    type=Number(0, 10_000, min_open=True),
    metavar="MB",
    help="Most megabytes (10^6 bytes): quality is lowered first, then the size.",
)
@click.option(
    "--poster",
    is_flag=False,
    flag_value=BESIDE,
    metavar="[FILE.png]",
    help="Also keep one frame as a still; without a name as LOOP-poster.png.",
)
@output_option(f"{', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}")
@FORCE
@PROGRESS
def loop(
    scene: Path,
    view: str,
    size: int | tuple[int, int] | None,
    fps: int,
    shutter: float,
    ev: float,
    longest: int,
    max_mb: float | None,
    poster: str | None,
    output: Path | None,
    force: bool,
) -> None:
    """Film SCENE for one period of its motion, without a visible join.

    Where there is no period of a minute at most, the end is faded into the beginning.

    Example: glint loop scenes/spiked-twenty.toml --size square --max-mb 8 --poster -o evening.mp4
    """
    from glint.files.atomic import check_output
    from glint.render.loop import loop as film
    from glint.render.warm_up import compile_ahead
    from glint.render.writers.movie import ENDINGS
    from glint.scene.build import load

    target = output or Path(f"{scene.stem}.mp4")
    page = None if poster is None else Path(poster)
    if poster == BESIDE:
        page = target.with_name(f"{target.stem}-poster.png")
    check_output(target, force=force, endings=ENDINGS)
    if page is not None:
        check_output(page, force=force, endings=(".png",))
    with working("filming") as tell:
        built = load(scene)
        compile_ahead()
        keep_inputs(built.source, target, page)
        found = film(
            built,
            target,
            view,
            fps,
            size or 720,
            shutter,
            ev,
            force,
            tell,
            max_mb=max_mb,
            poster=page,
            longest=longest,
        )
    wrote = f"wrote {printable(str(target))}: {found.frames} frames"
    click.echo(wrote if page is None else f"{wrote}, and {printable(str(page))}")
    for note in found.notes:
        click.echo(note)
