"""`glint stock`: what can be built from so many tiles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from glint.cli.mistakes import Number
from glint.cli.options import AS_JSON, PROGRESS
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.errors import UsageError

if TYPE_CHECKING:
    from glint.build.sets import Choice
    from glint.build.stock import Cover, Stock
    from glint.shape.catalogue import Entry

MOST = 100_000
SHAPES = (
    Column("name", "shape"),
    Column("triangles", "triangles"),
    Column("squares", "squares"),
    Column("times", "times over"),
    Column("triangles_left", "triangles left"),
    Column("squares_left", "squares left"),
)
SPOTS = Column("spots", "spots")
AIMS = {
    "tiles": "most tiles used",
    "balls": "most balls",
    "different": "most different shapes",
    "spots": "most visible spots",
}


@click.command()
@click.option("--triangles", type=click.IntRange(0, MOST), default=0, help="Triangle tiles.")
@click.option("--squares", type=click.IntRange(0, MOST), default=0, help="Square tiles.")
@click.option(
    "--spare",
    type=Number(0, 100),
    default=0.0,
    metavar="PERCENT",
    help="Keep so many percent of what is glued for breakage.",
)
@click.option("--aim", type=click.Choice(list(AIMS)), default="tiles", show_default=True)
@click.option(
    "--least-tiles",
    type=click.IntRange(0, MOST),
    default=0,
    metavar="N",
    help="Leave out shapes of fewer tiles.",
)
@click.option(
    "--alternatives",
    type=click.IntRange(0, 10),
    default=2,
    show_default=True,
    help="Next best sets of other shapes.",
)
@AS_JSON
@PROGRESS
def stock(
    triangles: int,
    squares: int,
    spare: float,
    aim: str,
    least_tiles: int,
    alternatives: int,
    as_json: bool,
) -> None:
    """List the shapes that a stock of tiles makes, and the best sets of shapes.

    A set is the best there is for the aim, not a good guess; of equals, the one of most tiles,
    then of fewest balls, then of the shapes that come first in the catalogue. Spots are counted
    in a fixed room, so that shapes can be compared: a dome of 4 m radius, the ball in the middle,
    one lamp of 6 degrees, a spot counting from 0.2 times the ambient light.

    Example: glint stock --triangles 300 --squares 60 --spare 5 --aim spots
    """
    from glint.build.reference import visible_spots
    from glint.build.sets import best_sets
    from glint.build.stock import Stock, covered, shortages

    if not triangles and not squares:
        raise UsageError("a stock needs --triangles, --squares or both")
    have = Stock(triangles, squares, spare)
    with working("building every shape"):
        covers = covered(have, least_tiles)
        missing = shortages(have, least_tiles=least_tiles)
    # As catalogued, since the order decides between sets that are equal otherwise.
    entries = _as_catalogued([row.entry for row in covers])
    spots: list[int] | None = None
    if aim == "spots":
        with working("counting spots") as tell:
            spots = visible_spots(entries, tell)
    with working("choosing sets") as tell:
        sets = best_sets(entries, have.usable, aim, spots, 1 + alternatives, tell)  # type: ignore[arg-type]
    by_name = None if spots is None else {e.name: n for e, n in zip(entries, spots, strict=True)}
    if as_json:
        print_json(
            {
                **have._asdict(),
                "usable": dict(zip(("triangles", "squares"), have.usable, strict=True)),
                "aim": aim,
                "shapes": [_cover_figures(row, by_name) for row in covers],
                "sets": [_set_figures(choice) for choice in sets],
                "short": [
                    {"name": row.entry.name, "triangles": row.triangles, "squares": row.squares}
                    for row in missing
                ],
            }
        )
        return
    if not covers:
        click.echo(_nothing(have))
        for row in missing:
            click.echo(f"  {row.entry.name}: {_tiles(row.triangles, row.squares)} short")
        return
    columns = SHAPES if by_name is None else (*SHAPES, SPOTS)
    rows = (tuple(_cover_figures(row, by_name)[c.key] for c in columns) for row in covers)
    print_table(columns, rows, f"From {_tiles(*have.usable)}")
    click.echo()
    for number, choice in enumerate(sets):
        click.echo(_in_words(choice, AIMS[aim] if number == 0 else "or"))


def _as_catalogued(entries: Sequence[Entry]) -> list[Entry]:
    from glint.build.stock import candidates

    names = {entry.name for entry in entries}
    return [entry for entry in candidates() if entry.name in names]


def _cover_figures(row: Cover, spots: dict[str, int] | None) -> dict[str, Any]:
    entry = row.entry
    found = {
        "name": entry.name,
        "base": entry.base,
        "steps": entry.steps,
        "triangles": entry.triangles,
        "squares": entry.squares,
        "times": row.times,
        "triangles_left": row.triangles_left,
        "squares_left": row.squares_left,
    }
    return found if spots is None else {**found, "spots": spots[entry.name]}


def _set_figures(choice: Choice) -> dict[str, Any]:
    return {
        "value": choice.value,
        "shapes": [{"name": entry.name, "count": n} for entry, n in choice.shapes],
        "triangles_left": choice.triangles_left,
        "squares_left": choice.squares_left,
    }


def _in_words(choice: Choice, title: str) -> str:
    shapes = "\n".join(f"  {n} × {entry.name}" for entry, n in choice.shapes)
    left = _tiles(choice.triangles_left, choice.squares_left)
    return f"{title}: {choice.value}\n{shapes}\n  left: {left}"


def _nothing(have: Stock) -> str:
    kept = f", {have.spare:g} % kept for breakage," if have.spare else ""
    return f"{_tiles(have.triangles, have.squares)}{kept} make no shape of the catalogue; nearest:"


def _tiles(triangles: int, squares: int) -> str:
    parts = [
        f"{n} {kind}{'' if n == 1 else 's'}"
        for n, kind in ((triangles, "triangle"), (squares, "square"))
        if n
    ]
    return " and ".join(parts) or "none"
