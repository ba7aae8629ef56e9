"""The options --tile, --panel, --thickness and --recess, in place of keys of [tile]."""

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
    default: float | None


SIZES = {
    "tile": Size("edge_mm", Number(1.0, 1000.0), "Edge of the tiles", 25.0),
    "panel": Size("panel_edge_mm", Number(1.0, 2000.0), "Edge of the panels", 32.0),
    "thickness": Size("thickness_mm", Number(0.1, 50.0), "Thickness of the tiles", 2.0),
    "recess": Size("recess_mm", Number(0.0, 50.0), "Depth of the panels' pockets", None),
}
"""By the options' names. Bounds and defaults are those of the scene file, written here once more so
that help needs no schema."""

TILE_KEYS = tuple(size.key for size in SIZES.values())


def tile_options(before: str = "") -> Callable[[Any], Any]:
    """The options; a command gets them as keywords. before: where a size comes from that is not
    given, ahead of the default."""

    def add(command: Any) -> Any:
        for name, size in reversed(SIZES.items()):
            default = "the tile's thickness" if size.default is None else f"{size.default:g}"
            says = f"{size.says}, mm; default: {before}{default}."
            command = click.option(f"--{name}", type=size.kind, metavar="MM", help=says)(command)
        return command

    return add


def tile_of(given: dict[str, float | None], instead: TileTable) -> TileTable:
    """The tiles that the options tell of. given: of each name of SIZES its value, or None where
    `instead` has it. Raises UsageError for sizes that do not go together."""
    told = {SIZES[name].key: value for name, value in given.items() if value is not None}
    tile = instead.model_copy(update=told)
    if tile.edge_mm > tile.panel_edge_mm:
        if given["tile"] is not None:
            option, found = "--tile", tile.edge_mm
            allowed = f"at most the panel's edge, {in_words(tile.panel_edge_mm)}; or give --panel"
        else:
            option, found = "--panel", tile.panel_edge_mm
            allowed = f"at least the tile's edge, {in_words(tile.edge_mm)}; or give --tile"
        raise UsageError(f"{option}: found {in_words(found)}; allowed: {allowed}")
    if tile.recess_mm is not None and tile.recess_mm > tile.thickness_mm:
        allowed = f"at most the tile's thickness, {in_words(tile.thickness_mm)}"
        raise UsageError(f"--recess: found {in_words(tile.recess_mm)}; allowed: {allowed}")
    return tile


def tile_in_words(tile: TileTable) -> str:
    """As "tiles of 25 mm, 2 mm thick, on panels of 32 mm"."""
    pocket = "" if tile.recess_mm is None else f", pockets {in_words(tile.recess_mm)} mm deep"
    return (
        f"tiles of {in_words(tile.edge_mm)} mm, {in_words(tile.thickness_mm)} mm thick, "
        f"on panels of {in_words(tile.panel_edge_mm)} mm{pocket}"
    )
