"""The catalogue with pictures: one page that holds everything."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from glint.parallel.executors import Tell, Workers, run
from glint.report.embedded import as_data
from glint.report.thumbnail import thumbnail
from glint.shape.body import build_body
from glint.shape.catalogue import Entry
from glint.shape.remedy import remedy
from glint.shape.tables import HangTable, ShapeTable, TileTable
from glint.version import VERSION

SIDE = 320
"""Width and height of a picture, pixels."""

QUALITY = 84
"""Of the pictures, in percent: there are more than a hundred."""


class Row(NamedTuple):
    """A shape that can be built. fits: whether it can be glued with the tiles that were asked
    about; says: that in words, and what would fit where it cannot.
    """

    entry: Entry
    fits: bool
    says: str


def shapes_page(
    rows: Sequence[Row],
    unbuilt: Sequence[Entry],
    tile: TileTable,
    tiles_in_words: str,
    workers: Workers | None = None,
    tell: Tell = lambda done, total: None,
) -> str:
    """The page as HTML that fetches nothing. unbuilt: shapes that cannot be built as they are.
    workers: who draws; the page is the same with any number of them.

    tell(done, total) is called after each picture.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("glint.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
    )
    drawn = run(_drawn, [_Order(row.entry.name, tile) for row in rows], workers, tell)
    shapes = [_card(row, tile, picture) for row, picture in zip(rows, drawn, strict=True)]
    return environment.get_template("shapes.html").render(
        shapes=shapes,
        wants=[(entry.name, entry.needs, remedy(entry)) for entry in unbuilt],
        tiles=tiles_in_words,
        verdict=_verdict(rows),
        side=SIDE,
        version=VERSION,
    )


class _Order(NamedTuple):
    """A shape, by its name, and the tiles that it is to be drawn with."""

    name: str
    tile: TileTable


def _drawn(order: _Order) -> str:
    """The picture of one shape, as a data address."""
    body = build_body(ShapeTable.model_validate(order.name), order.tile, HangTable())
    return as_data(thumbnail(body, SIDE), QUALITY)


def _card(row: Row, tile: TileTable, picture: str) -> dict[str, Any]:
    entry = row.entry
    base, _, done = entry.name.partition(", ")
    size = entry.diameter * tile.panel_edge_mm
    orders = entry.symmetry
    return {
        "name": entry.name,
        "base": base.capitalize(),
        "done": done,
        "picture": picture,
        "triangles": entry.triangles,
        "squares": entry.squares,
        "tiles": entry.triangles + entry.squares,
        "tiles_in_words": tiles_of(entry),
        "size": size,
        "size_in_words": f"{size / 10:.1f} cm" if size < 1000 else f"{size / 1000:.2f} m",
        "symmetry": f"{orders.vertex} / {orders.face} / {orders.edge}",
        "remarks": entry.remarks,
        "fit": row.fits,
        "fits": row.says,
        "line": entry.line,
    }


def tiles_of(entry: Entry) -> str:
    """As "62: 32 triangles, 30 squares"."""
    parts = [
        f"{count} {kind}{'' if count == 1 else 's'}"
        for count, kind in ((entry.triangles, "triangle"), (entry.squares, "square"))
        if count
    ]
    total = entry.triangles + entry.squares
    return parts[0] if len(parts) == 1 else f"{total}: {', '.join(parts)}"


def _verdict(rows: Sequence[Row]) -> str:
    unfit = sum(not row.fits for row in rows)
    if not unfit:
        return f"All {len(rows)} can be glued with these."
    return f"{len(rows) - unfit} of {len(rows)} can be glued with these; the others say what fits."
