"""`glint still`: one picture, of an instant or of a whole turn, and its figures."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import (
    AT,
    EV,
    FORCE,
    PROGRESS,
    SCENE,
    SECONDS,
    VIEW,
    PictureSize,
    output_option,
    pose_at,
)
from glint.cli.progress import working
from glint.errors import UsageError, printable
from glint.files.atomic import check_output, whole_file
from glint.render.views import view_of

DATA_TEXELS = 1024
"""Width of the maps that --data keeps beside an eye's view."""


@click.command()
@SCENE
@AT
@SECONDS
@click.option("--turn", is_flag=True, help="A long exposure over one turn of the slowest ball.")
@click.option("--direct", is_flag=True, help="With --turn: draw what lamps light directly as well.")
@VIEW
@click.option(
    "--size",
    type=PictureSize(64, 4096),
    default=None,
    show_default="1024, of an eye's view 720, of a panorama 480",
    help="Pixels: WxH, or the height (an eye's view is 16 to 9 then, a panorama 4 to 1, all else "
    "square); a round map stands in the middle of an oblong picture.",
)
@EV
@output_option("A .png file.")
@click.option(
    "--data",
    type=click.Path(path_type=Path),
    metavar="FILE.npz",
    help="Also save every surface as arrays.",
)
@FORCE
@PROGRESS
def still(
    scene: Path,
    degrees: float,
    seconds: float | None,
    turn: bool,
    direct: bool,
    view: str,
    size: int | tuple[int, int] | None,
    ev: float,
    output: Path | None,
    data: Path | None,
    force: bool,
) -> None:
    """Draw one picture of SCENE.

    A long exposure (--turn) shows the trails of the mirrors' spots. The ambient, and what lamps
    send straight onto the fabric, would drown them: they are left out of the picture (not of
    --data) unless --direct asks for them. Its error is brought below 2 %, and said.

    With --data, arrays are saved too, for each surface SURFACE_lux (h,w,3), linear RGB, direct
    and ambient light together; SURFACE_point (h,w,3), metres; SURFACE_area (h,w), square metres;
    SURFACE_open (h,w), true where the surface is open and light leaves, so that SURFACE_lux is 0.
    All are 0 off the surface. SURFACE_ambient (3) is the part of SURFACE_lux that is the same all
    over: take it off for the direct light alone.

    Example: glint still scenes/yardstick.toml --at 20 --size 1920x1080 -o yardstick.png
    """
    from glint.lighting.illumination import light
    from glint.lighting.long_exposure import long_exposure
    from glint.render.npz import write_data
    from glint.render.still import draw
    from glint.render.warm_up import compile_ahead
    from glint.render.writers.png import write_png
    from glint.render.writers.provenance import label
    from glint.scene.build import load

    target = output or Path(f"{scene.stem}-{view}{'-turn' if turn else ''}.png")
    check_output(target, force=force, endings=(".png",))
    if data is not None:
        check_output(data, force=force, endings=(".npz",))
    if turn and degrees:
        raise UsageError("--turn takes in every angle: leave --at off")
    if direct and not turn:
        raise UsageError("--direct belongs to --turn: every other picture has that light anyway")
    if seconds is not None and (degrees or turn):
        raise UsageError("--seconds is an instant by itself: leave --at and --turn off")
    seen = view_of(view)
    if turn and not seen.of_maps:
        raise UsageError("an eye's view is of an instant: leave --turn off")
    shape = seen.size(size)
    with working("following the light") as tell, ExitStack() as files:
        built = load(scene)
        compile_ahead()
        keep_inputs(built.source, target, data)
        place = files.enter_context(whole_file(target, force))
        arrays = files.enter_context(whole_file(data, force)) if data is not None else None
        side = seen.texels(shape)
        pose = pose_at(built, degrees, seconds)
        if seen.of_maps:
            names = seen.seen(built.room) if data is None else None
            exposed = long_exposure(built, side, tell) if turn else None
            maps = exposed or light(pose, side, names)
            shown = maps if exposed is None or direct else exposed.trails()
            picture = seen.picture(shown, built.room, shape, ev)
        else:
            picture, exposed = draw(pose, view, shape, ev), None
            maps = {} if arrays is None else light(pose, DATA_TEXELS)
        write_png(place, picture, label(built.source))
        if arrays is not None:
            write_data(arrays, maps)
    written = [printable(str(path)) for path in (target, data) if path is not None]
    click.echo(f"wrote {' and '.join(written)}")
    if exposed is not None:
        click.echo(exposed.in_words())
