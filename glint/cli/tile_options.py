"""The options --tile, --panel and --thickness, which stand in for the keys of a [tile] table."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from glint.cli.mistakes import Number
from glint.errors import UsageError, in_words

if TYPE_CHECKING:
    from glint.shape.tables import TileTable

KEYS = {
    "tile": ("edge_mm", Number(1.0, 1000.0), "Edge of the tiles"),
    "panel": ("panel_edge_mm", Number(1.0, 2000.0), "Edge of the panels"),
    "thickness": ("thickness_mm", Number(0.1, 50.0), "Thickness of the tiles"),
}
"""For each option the key it stands in for, what it may be, and its line of help."""

TILE_KEYS = tuple(key for key, _, _ in KEYS.values())


def tile_options(instead: str) -> Callable[[Any], Any]:
    """The options; a command gets them as keywords. instead: where a size comes from if it is not
    given, as "the scene file's default"."""

    def add(command: Any) -> Any:
        for name, (_, kind, says) in reversed(KEYS.items()):
            option = click.option(
                f"--{name}", type=kind, metavar="MM", help=f"{says}, mm; without it, {instead}."
            )
            command = option(command)
        return command

    return add


def tile_of(given: dict[str, float | None], instead: TileTable) -> TileTable:
    """The tiles that the options tell of. given: of each name of KEYS its value, or None where
    `instead` has it. Raises UsageError for sizes that do not go together."""
    told = {KEYS[name][0]: value for name, value in given.items() if value is not None}
    tile = instead.model_copy(update=told)
    if tile.edge_mm > tile.panel_edge_mm:
        if given["tile"] is not None:
            option, found = "--tile", tile.edge_mm
            allowed = f"at most the panel's edge, {in_words(tile.panel_edge_mm)}; or give --panel"
        else:
            option, found = "--panel", tile.panel_edge_mm
            allowed = f"at least the tile's edge, {in_words(tile.edge_mm)}; or give --tile"
        raise UsageError(f"{option}: found {in_words(found)}; allowed: {allowed}")
    return tile


def tile_in_words(tile: TileTable) -> str:
    """As "tiles of 25 mm, 2 mm thick, on panels of 32 mm"."""
    return (
        f"tiles of {in_words(tile.edge_mm)} mm, {in_words(tile.thickness_mm)} mm thick, "
        f"on panels of {in_words(tile.panel_edge_mm)} mm"
    )
