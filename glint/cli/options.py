"""Arguments and options that several commands share."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from glint.cli.mistakes import Number
from glint.cli.progress import PROGRESS_ASKED
from glint.errors import UsageError, listed, printable
from glint.render.views import SIZES, VIEWS

if TYPE_CHECKING:
    from glint.scene.scene import Pose, Scene


def scene_files(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Scene files and folders whose path begins so, for a shell that completes a line."""
    folder, _, start = incomplete.rpartition("/")
    lead = f"{folder}/" if folder or incomplete.startswith("/") else ""
    found = []
    try:
        for path in sorted(Path(lead or ".").iterdir()):
            if path.name.startswith(start) and (start or not path.name.startswith(".")):
                if path.is_dir():
                    found.append(f"{lead}{path.name}/")
                elif path.suffix == ".toml":
                    found.append(f"{lead}{path.name}")
    except OSError:  # a folder that is not there or closed completes to nothing
        return []
    if len(found) == 1 and found[0].endswith("/"):
        # Alone, a folder would count as the whole word: what is in it keeps the line open.
        return scene_files(ctx, param, found[0]) or found
    return found


SCENE = click.argument("scene", type=click.Path(path_type=Path), shell_complete=scene_files)

AT = click.option(
    "--at",
    "degrees",
    type=Number(-1e6, 1e6),
    default=0.0,
    metavar="DEG",
    help="Turned by so many degrees; several balls turn in the ratio of their speeds.",
)

SECONDS = click.option(
    "--seconds",
    type=Number(-1e6, 1e6),
    help="So long after the beginning instead, for what swings or twists.",
)

AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")

PROGRESS = click.option(
    "--progress",
    is_flag=True,
    expose_value=False,
    callback=lambda context, option, value: context.meta.update({PROGRESS_ASKED: value}),
    help="Say how far the work is, a line now and then, where standard error is no terminal.",
)

CSV_FILE = click.option(
    "--csv",
    "csv_file",
    type=click.Path(path_type=Path),
    metavar="FILE.csv",
    help="Also write the rows as CSV; headings carry units.",
)

FORCE = click.option("--force", is_flag=True, help="Replace an existing file.")

EV = click.option(
    "--ev",
    type=Number(-20, 20),
    default=0.0,
    metavar="STOPS",
    help="So many stops brighter than the automatic exposure.",
)

VIEW = click.option(
    "--view",
    type=click.Choice(list(VIEWS)),
    default="dome",
    show_default=True,
    help="; ".join(f"{name}: {one.words}" for name, one in VIEWS.items()) + ".",
)

WORKERS = click.option(
    "--workers",
    type=click.IntRange(0, 256),
    default=0,
    help="Processes on this machine; 0, the default, for one a processor.",
)

SCHEDULER = click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="A running dask.distributed cluster does the work, as tcp://host:8786 or tls://host:8786; "
    "only in networks that you trust.",
)


def output_option(told: str, *names: str, **more: Any) -> Callable[[Any], Any]:
    """The option that says where a command writes. told: its line of help; names, more: as
    click.option takes them."""
    path = click.Path(path_type=Path)
    return click.option("-o", "--output", *names, type=path, help=told, **more)


def pose_at(scene: Scene, degrees: float, seconds: float | None) -> Pose:
    """The pose that --at or --seconds asks for. Raises UsageError where both do."""
    if seconds is None:
        return scene.at(degrees=degrees)
    if degrees:
        raise UsageError("--seconds is an instant by itself: leave --at off")
    return scene.at(seconds=seconds)


class PictureSize(click.ParamType):
    """Width and height in pixels, as "1920x1080"; one number, the height; or a name of SIZES."""

    name = "WxH"

    def __init__(self, least: int, most: int) -> None:
        self.least, self.most = least, most

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> int | tuple[int, int]:
        """(width, height), or the height, of what was written; fails with what is allowed."""
        if isinstance(value, int | tuple):
            return value
        if value in SIZES:
            return SIZES[str(value)]
        found = re.fullmatch(r"([0-9]{1,9})(?:[xX\u00d7]([0-9]{1,9}))?", str(value))
        if found is None:
            shown = printable(str(value), 40)
            forms = f"WxH, such as 1920x1080, one number, {listed(SIZES)}"
            self.fail(f'"{shown}" is no size; allowed: {forms}')
        width = int(found[1])
        height = int(found[2] or width)
        written = f"{width}x{height}" if found[2] else str(height)
        if not (self.least <= min(width, height) and max(width, height) <= self.most):
            self.fail(f"{written}; allowed: {self.least} to {self.most} pixels a side")
        return (width, height) if found[2] else height
