"""`glint stock`: what can be built from so many tiles."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from glint.cli.mistakes import Number
from glint.cli.options import AS_JSON, PROGRESS
from glint.cli.printing import print_json
from glint.cli.progress import working
from glint.cli.tile_options import sizes_of, tile_in_words, tile_of, tile_options
from glint.errors import UsageError, printable

if TYPE_CHECKING:
    from glint.build.effort import Effort
    from glint.build.reference import Count
    from glint.build.stock import Stock
    from glint.schema.tables import SceneFile
    from glint.shape.catalogue import Entry
    from glint.shape.gluing import Gluing
    from glint.shape.tables import TileTable, WorkshopTable

MOST = 100_000
AIMS = {
    "tiles": "most tiles used",
    "balls": "most balls",
    "different": "most different shapes",
    "spots": "most visible spots",
}


@click.command()
@click.argument("scene", type=click.Path(path_type=Path), required=False)
@click.option("--triangles", type=click.IntRange(0, MOST), default=0, help="Triangle tiles.")
@click.option("--squares", type=click.IntRange(0, MOST), default=0, help="Square tiles.")
@click.option(
    "--spare",
    type=Number(0, 100),
    default=0.0,
    metavar="PERCENT",
    help="Keep so many percent of what is glued for breakage.",
)
@tile_options("the scene's, or ")
@click.option("--aim", type=click.Choice(list(AIMS)), default="tiles", show_default=True)
@click.option(
    "--most-balls",
    type=click.IntRange(1, 100),
    default=6,
    show_default=True,
    metavar="N",
    help="Balls of a set.",
)
@click.option(
    "--least-tiles",
    type=click.IntRange(0, MOST),
    default=20,
    show_default=True,
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
@click.option("--unfit", is_flag=True, help="List shapes that cannot be glued too, and what fits.")
@AS_JSON
@PROGRESS
def stock(
    scene: Path | None,
    triangles: int,
    squares: int,
    spare: float,
    aim: str,
    most_balls: int,
    least_tiles: int,
    alternatives: int,
    unfit: bool,
    as_json: bool,
    **tiles: float | None,
) -> None:
    """List the shapes that a stock of tiles makes, and the best sets of shapes.

    A set is the best there is for the aim, not a good guess; of equals, the one of most tiles,
    then of fewest balls, then of the shapes that come first in the catalogue. Shapes whose tiles
    would collide in valleys are left out.

    With a SCENE, or for the aim "spots", visible spots are counted: in the scene's room and light,
    each shape alone in the place of each ball, on average; without a scene in a fixed room, a dome
    of 4 m radius, the ball in the middle, one lamp of 6 degrees, a spot counting from 0.2 times the
    ambient light. Weight and hours of gluing are those of the scene's workshop.

    Example: glint stock --triangles 300 --squares 60 --spare 5 --aim spots
    """
    from glint.build.sets import best_sets
    from glint.build.stock import Stock, covered, of_size, shortages
    from glint.cli.stock_figures import Found, as_figures, print_found
    from glint.schema.read import read_scene
    from glint.shape.tables import TileTable, WorkshopTable

    if not triangles and not squares:
        raise UsageError("a stock needs --triangles, --squares or both")
    file = None if scene is None else read_scene(scene)
    if file is not None and not file.lamp:
        raise UsageError(
            f"{printable(str(scene))}: found no lamp; allowed: a scene with a [[lamp]]"
        )
    tile = tile_of(tiles, TileTable() if file is None else file.ball[0].tile)
    have = Stock(triangles, squares, spare)
    with working("building every shape"):
        shapes = of_size(least_tiles)
    fitting, crowded = _parted(shapes, tile, have)
    covers = covered(have, fitting)
    # As catalogued, since the order decides between sets that are equal otherwise.
    made = {row.entry.name for row in covers}
    entries = [entry for entry in fitting if entry.name in made]
    counts = _counts(entries, file, tile) if file is not None or aim == "spots" else None
    nowhere = []
    if counts is not None:
        nowhere = [(entry, counts[entry.name].problem) for entry in entries]
        nowhere = [(entry, problem) for entry, problem in nowhere if problem]
        entries = [entry for entry in entries if counts[entry.name].spots is not None]
        covers = [row for row in covers if row.entry in entries]
    spots = None if counts is None else [counts[entry.name].spots or 0 for entry in entries]
    efforts = _efforts(entries, tile, WorkshopTable() if file is None else file.workshop)
    with working("choosing sets") as tell:
        sets = best_sets(
            entries,
            have.usable,
            aim,  # type: ignore[arg-type]
            spots,
            most_balls,
            1 + alternatives,
            tell,
        )
    found = Found(
        have,
        aim,
        most_balls,
        least_tiles,
        covers,
        efforts,
        counts,
        sets,
        shortages(have, fitting),
        nowhere,
        crowded,
    )
    if as_json:
        print_json({"tile": sizes_of(tile), **as_figures(found)})
        return
    print_found(found, AIMS[aim], tile_in_words(tile), unfit)


def _parted(
    shapes: list[Entry], tile: TileTable, have: Stock
) -> tuple[list[Entry], list[tuple[Entry, Gluing]]]:
    """Shapes that can be glued, and those that the stock would make if they could be."""
    from glint.build.stock import judged_all

    with working("looking for room for the tiles") as tell:
        judged = list(zip(shapes, judged_all(shapes, tile, tell), strict=True))
    triangles, squares = have.usable
    crowded = [
        (entry, fit)
        for entry, fit in judged
        if not fit.possible and entry.triangles <= triangles and entry.squares <= squares
    ]
    return [entry for entry, fit in judged if fit.possible], crowded


def _counts(entries: list[Entry], file: SceneFile | None, tile: TileTable) -> dict[str, Count]:
    from glint.build.reference import places_of, reference, visible_spots

    places = reference() if file is None else places_of(file)
    with working("counting spots") as tell:
        counts = visible_spots(entries, places, tile, tell)
    return {entry.name: count for entry, count in zip(entries, counts, strict=True)}


def _efforts(entries: list[Entry], tile: TileTable, workshop: WorkshopTable) -> dict[str, Effort]:
    from glint.build.effort import effort

    found = {}
    with working("weighing") as tell:
        for done, entry in enumerate(entries, start=1):
            found[entry.name] = effort(entry, tile, workshop)
            tell(done, len(entries))
    return found
