"""The options --tile, --panel, --thickness and --recess: sizes in place of a [tile] table's."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from glint.cli.mistakes import Number
from glint.errors import UsageError, in_words

if TYPE_CHECKING:
    from glint.shape.tables import TileTable


class Size(NamedTuple):
    """The key that an option stands in for, what it may be, its line of help, and the default."""

    key: str
    kind: Number
    says: str
    default: float


SIZES = {
    "tile": Size("edge_mm", Number(1.0, 1000.0), "Edge of the tiles", 25.0),
    "panel": Size("panel_edge_mm", Number(1.0, 2000.0), "Edge of the panels", 32.0),
    "thickness": Size("thickness_mm", Number(0.1, 50.0), "Thickness of the tiles", 2.0),
}
"""By the options' names. Bounds and defaults are those of the scene file, written here once more so
that help needs no schema."""


def tile_options(before: str = "") -> Callable[[Any], Any]:
    """The options; a command gets them as keywords. before: where a size comes from that is not
    given, ahead of the default."""

    recess = click.option(
        "--recess",
        type=Number(0.0, 50.0),
        metavar="MM",
        help="Depth of the panels' pockets for the tiles, mm; default: their thickness, so that "
        "they lie flush. 0 for tiles that stand proud by all of it.",
    )

    def add(command: Any) -> Any:
        command = recess(command)
        for name, size in reversed(SIZES.items()):
            says = f"{size.says}, mm; default: {before}{size.default:g}."
            command = click.option(f"--{name}", type=size.kind, metavar="MM", help=says)(command)
        return command

    return add


def tile_of(given: dict[str, float | None], instead: TileTable) -> TileTable:
    """The tiles that the options tell of, with the depth of their pockets.

    given: the options by their names, None where `instead` has the size. Raises UsageError for
    sizes that do not go together.
    """
    told = {size.key: given[name] for name, size in SIZES.items() if given[name] is not None}
    tile = instead.model_copy(update=told)
    if tile.edge_mm > tile.panel_edge_mm:
        if given["tile"] is not None:
            option, found = "--tile", tile.edge_mm
            allowed = f"at most the panel's edge, {in_words(tile.panel_edge_mm)}; or give --panel"
        else:
            option, found = "--panel", tile.panel_edge_mm
            allowed = f"at least the tile's edge, {in_words(tile.edge_mm)}; or give --tile"
        raise UsageError(f"{option}: found {in_words(found)}; allowed: {allowed}")
    recess = tile.thickness_mm if tile.recess_mm is None else tile.recess_mm
    if given["recess"] is not None:
        recess = given["recess"]
    elif given["thickness"] is not None:
        recess = tile.thickness_mm  # a pocket as deep as other tiles are thick says nothing here
    if recess > tile.thickness_mm:
        allowed = f"at most the tile's thickness, {in_words(tile.thickness_mm)}"
        raise UsageError(f"--recess: found {in_words(recess)}; allowed: {allowed}")
    return tile.model_copy(update={"recess_mm": recess})


def sizes_of(tile: TileTable) -> dict[str, float]:
    """The four sizes by their keys."""
    return {key: getattr(tile, key) for key in (*(s.key for s in SIZES.values()), "recess_mm")}


def tile_in_words(tile: TileTable) -> str:
    """As "tiles of 25 mm, 2 mm thick, flush on panels of 32 mm"."""
    recess = tile.recess_mm
    how = f"{in_words(tile.thickness_mm - recess)} mm proud of"
    return (
        f"tiles of {in_words(tile.edge_mm)} mm, {in_words(tile.thickness_mm)} mm thick, "
        f"{'flush with' if recess == tile.thickness_mm else how} panels of "
        f"{in_words(tile.panel_edge_mm)} mm"
    )
