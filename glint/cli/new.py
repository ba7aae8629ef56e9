"""`glint new`: a first scene, from three answers."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import click

from glint.cli.mistakes import Number
from glint.cli.options import FORCE, PROGRESS
from glint.cli.progress import working
from glint.errors import nearest_spelling, printable
from glint.files.atomic import check_output, whole_file

ROOMS = ("dome", "bell", "yurt", "hall")
MOST_TILES, MOST_LAMPS = 100_000, 6
TRIANGLES, SQUARES, LAMPS = 300, 60, 3
EDGE_MM, EDGE_IN = 25.0, 1.0
METRES = {"mm": 0.001, "in": 0.0254, "ft": 0.3048, "m": 1.0}

Answer = TypeVar("Answer")


@click.command()
@click.argument("scene", type=click.Path(path_type=Path))
@click.option(
    "--room", type=click.Choice(ROOMS), help="The room; without it, asked for, or a dome."
)
@click.option(
    "--triangles",
    type=click.IntRange(0, MOST_TILES),
    help=f"Triangle tiles that you have; without it, asked for, or {TRIANGLES}.",
)
@click.option(
    "--squares",
    type=click.IntRange(0, MOST_TILES),
    help=f"Square tiles that you have; without it, asked for, or {SQUARES}.",
)
@click.option(
    "--lamps",
    type=click.IntRange(1, MOST_LAMPS),
    help=f"Spotlights; without it, asked for, or {LAMPS}.",
)
@click.option(
    "--across",
    type=Number(1, 100),
    metavar="WIDTH",
    help="Width of the floor, 5 to 30 m (of a hall its length), or in feet with --inches; 8 m for "
    "a dome, 6 for a bell, 6.8 for a yurt, 10 for a hall.",
)
@click.option(
    "--edge",
    type=Number(0.1, 200),
    metavar="LENGTH",
    help="Edge of a tile, 8 to 150 mm, or in inches with --inches; 25 mm or 1 inch.",
)
@click.option("--inches", is_flag=True, help="Lengths in feet and inches, here and in the file.")
@click.option("--yes", is_flag=True, help="Ask nothing: take the default of what is not given.")
@PROGRESS
@FORCE
def new(
    scene: Path,
    room: str | None,
    triangles: int | None,
    squares: int | None,
    lamps: int | None,
    across: float | None,
    edge: float | None,
    inches: bool,
    yes: bool,
    force: bool,
) -> None:
    """Write a first scene to SCENE, from three answers: room, tiles, lamps.

    Every question has a default, which Enter takes. Where nobody can answer, as in a script,
    nothing is asked. The scene hangs a handful of bodies that the tiles make, above heads, and
    lights each; its comments say what to change and what to try next. The same answers give the
    same file.

    Example: glint new evening.toml
    """
    from glint.build.first_scene import Answers, first_scene
    from glint.build.first_text import next_steps

    check_output(scene, force=force, endings=(".toml",))
    asks = not yes and sys.stdin.isatty()
    room = _answer(room, asks, "Room: dome, bell, yurt or hall", ROOMS[0], _room)
    if triangles is None and squares is None:
        both = f"{TRIANGLES} {SQUARES}"
        what = "Mirror tiles that you have: triangles and squares"
        triangles, squares = _answer(None, asks, what, both, _tiles)
    lamps = _answer(lamps, asks, f"Lamps, 1 to {MOST_LAMPS}", str(LAMPS), _lamps)
    answers = Answers(
        room,
        triangles or 0,
        squares or 0,
        lamps,
        _width(across, room, inches),
        _edge(edge, inches),
        inches,
    )
    with working("choosing shapes"):
        text, bodies = first_scene(answers, scene.name)
    with whole_file(scene, force) as place:
        place.write_text(text, encoding="utf-8")
    names = ", ".join(body.name for body in bodies)
    click.echo(f"wrote {printable(str(scene))}: {len(bodies)} bodies in a {room}: {names}")
    click.echo("next:")
    steps = next_steps(printable(str(scene)))
    wide = max(len(command) for command, _ in steps)
    for command, says in steps:
        click.echo(f"  {command:<{wide}}  {says}")


def _answer(
    given: Answer | None, asks: bool, what: str, default: str, read: Callable[[str], Answer]
) -> Answer:
    """What an option gave, or somebody answers, or else the default."""
    if given is not None:
        return given
    if not asks:
        return read(default)
    return click.prompt(what, default=default, value_proc=read, err=True)


def _room(text: str) -> str:
    word = text.strip().lower()
    if word in ROOMS:
        return word
    starts = [one for one in ROOMS if word and one.startswith(word)]
    if len(starts) == 1:
        return starts[0]
    near = nearest_spelling(word, ROOMS)
    hint = f'; did you mean "{near}"?' if near else ""
    raise click.BadParameter(f"found {printable(text, 40)!r}; allowed: {', '.join(ROOMS)}{hint}")


def _tiles(text: str) -> tuple[int, int]:
    """Triangles and squares; one number alone is of triangles."""
    words = text.replace(",", " ").replace("+", " ").split()
    numbers = [int(word) for word in words if word.isascii() and word.isdecimal()]
    if not 1 <= len(words) <= 2 or len(numbers) < len(words) or max(numbers) > MOST_TILES:
        allowed = f"two whole numbers up to {MOST_TILES}, triangles first, such as 300 60"
        raise click.BadParameter(f"found {printable(text, 40)!r}; allowed: {allowed}")
    return numbers[0], numbers[1] if len(numbers) == 2 else 0


def _lamps(text: str) -> int:
    word = text.strip()
    if not (word.isascii() and word.isdecimal()) or not 1 <= int(word) <= MOST_LAMPS:
        allowed = f"a whole number from 1 to {MOST_LAMPS}"
        raise click.BadParameter(f"found {printable(text, 40)!r}; allowed: {allowed}")
    return int(word)


def _width(given: float | None, room: str, inches: bool) -> float:
    from glint.build.first_scene import KINDS, NARROW, WIDE

    if given is None:
        return KINDS[room].across
    metres = given * METRES["ft" if inches else "m"]
    if not NARROW <= metres <= WIDE:
        unit = "ft" if inches else "m"
        least = math.ceil(100.0 * NARROW / METRES[unit]) / 100.0
        most = math.floor(100.0 * WIDE / METRES[unit]) / 100.0
        allowed = f"from {least:g} to {most:g} {unit}"
        raise click.BadParameter(f"found {given:g}; allowed: {allowed}", param_hint="'--across'")
    return metres


def _edge(given: float | None, inches: bool) -> float:
    """Edge of a tile, mm."""
    unit = "in" if inches else "mm"
    edge = (given or (EDGE_IN if inches else EDGE_MM)) * 1000.0 * METRES[unit]
    if not 8.0 <= edge <= 150.0:
        allowed = "from 0.32 to 5.9 in" if inches else "from 8 to 150 mm"
        raise click.BadParameter(f"found {given:g}; allowed: {allowed}", param_hint="'--edge'")
    return edge
