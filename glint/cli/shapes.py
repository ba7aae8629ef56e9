"""`glint shapes`: the catalogue of shapes, as a table or as a page with pictures."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from glint.cli.options import AS_JSON, FORCE, PROGRESS, WORKERS, output_option
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.cli.tile_options import sizes_of, tile_in_words, tile_of, tile_options
from glint.errors import printable

if TYPE_CHECKING:
    from glint.shape.catalogue import Entry
    from glint.shape.gluing import Gluing
    from glint.shape.tables import TileTable

ENDINGS = (".html",)

SIZES = (
    Column("name", "shape"),
    Column("triangles", "tri-", "angles"),
    Column("squares", "squa-", "res"),
    Column("diameter_m", "across", "m"),
    Column("symmetry", "alike in a turn", "by vertex/face/edge"),
    Column("remarks", "to know"),
)
UNGLUED = (Column("name", "shape"), Column("fits", "why, and what fits"))
WANTS = (
    Column("name", "shape"),
    Column("needs", "what is wrong"),
    Column("remedy", "what fills it"),
)
LINE = Column("line", "line")


@click.command()
@tile_options()
@output_option("A page with pictures, .html.")
@WORKERS
@AS_JSON
@PROGRESS
@FORCE
def shapes(
    output: Path | None, workers: int, as_json: bool, force: bool, **tiles: float | None
) -> None:
    """List the catalogue: what each shape takes, how large it gets, and whether it can be glued.

    Also how often a body looks the same in a turn, hung by a vertex, a face or an edge, and what
    to know before it is built: joints that lie flat, tips that touch. Shapes whose tiles would
    collide come after the others, with what fits on them, and last those that cannot be built as
    they are, with what fills them.

    With -o, a page shows them all in pictures, to search, filter and sort, each with the line that
    hangs it in a scene; so does `shape = "its name"`.

    Example: glint shapes --panel 40 --tile 30 -o shapes.html
    """
    from glint.build.stock import judged_all
    from glint.files.atomic import check_output
    from glint.shape.catalogue import catalogue
    from glint.shape.tables import TileTable

    tile = tile_of(tiles, TileTable())
    if output is not None:
        check_output(output, force=force, endings=ENDINGS)
    with working("building every shape"):
        entries = catalogue()
    built = [entry for entry in entries if entry.buildable]
    with working("looking for room for the tiles") as tell:
        judged = dict(zip(built, judged_all(built, tile, tell), strict=True))
    number = 0
    if output is not None:
        number = _write_page(output, force, workers, tile, judged)
    if output is not None and not as_json:
        click.echo(f"wrote {printable(str(output))}: {number} shapes")
        return
    found = [_figures(entry, judged.get(entry), tile) for entry in entries]
    if as_json:
        print_json({**sizes_of(tile), "shapes": found})
    else:
        _print(found, tile_in_words(tile))


def _write_page(
    output: Path,
    force: bool,
    workers: int,
    tile: TileTable,
    judged: dict[Entry, Gluing],
) -> int:
    """Draw the page; how many shapes are on it."""
    from glint.build.stock import candidates
    from glint.files.atomic import whole_file
    from glint.parallel.executors import Workers
    from glint.report.shapes_page import Row, shapes_page
    from glint.shape.catalogue import catalogue

    # Bodies that come about in two ways are shown once.
    rows = [Row(entry, fit.possible, fit.says) for entry in candidates() if (fit := judged[entry])]
    unbuilt = [entry for entry in catalogue() if not entry.buildable]
    with whole_file(output, force, ENDINGS) as temporary, working("drawing every shape") as tell:
        page = shapes_page(rows, unbuilt, tile, tile_in_words(tile), Workers(workers), tell)
        temporary.write_text(page, encoding="utf-8")
    return len(rows)


def _print(found: list[dict[str, Any]], tiles: str) -> None:
    unfit = [shape for shape in found if not shape["buildable"]]
    if not sys.stdout.isatty():
        together = (*SIZES, *UNGLUED[1:], *WANTS[1:], LINE)
        print_table(together, (_cells(together, shape) for shape in found))
        return
    glued = [shape for shape in found if shape["can_be_glued"]]
    crowded = [shape for shape in found if shape["buildable"] and not shape["can_be_glued"]]
    title = f"Shapes of {tiles}"
    print_table(SIZES, (_cells(SIZES, shape) for shape in glued), title)
    if crowded:
        rows = (_cells(UNGLUED, shape) for shape in crowded)
        print_table(UNGLUED, rows, "Cannot be glued with these")
    print_table(WANTS, (_cells(WANTS, shape) for shape in unfit), "Cannot be built as they are")
    click.echo('\nshape = "its name" hangs one in a scene; -o shapes.html shows them in pictures.')


def _cells(columns: tuple[Column, ...], shape: dict[str, Any]) -> tuple[object, ...]:
    orders = "/".join(str(order) for order in shape["symmetry"].values())
    return tuple(orders if c.key == "symmetry" else shape[c.key] for c in columns)


def _figures(entry: Entry, fit: Gluing | None, tile: TileTable) -> dict[str, Any]:
    from glint.shape.remedy import remedy

    return {
        "name": entry.name,
        "base": entry.base,
        "sides": entry.sides,
        "steps": entry.steps,
        "line": entry.line,
        "triangles": entry.triangles,
        "squares": entry.squares,
        "diameter_m": entry.diameter * tile.panel_edge_mm / 1000.0,
        "symmetry": entry.symmetry._asdict(),
        "remarks": entry.remarks,
        "buildable": entry.buildable,
        "needs": entry.needs,
        "remedy": remedy(entry),
        "can_be_glued": fit is not None and fit.possible,
        "fits": "" if fit is None else fit.says,
        "collisions": 0 if fit is None else fit.collisions,
        "what_fits": {} if fit is None else fit.remedies,
    }
