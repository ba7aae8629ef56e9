"""Which shapes of the catalogue can be glued with given tiles, and what fits on the others."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from glint.shape.body import build_body
from glint.shape.catalogue import Entry
from glint.shape.room_for_tiles import crowding
from glint.shape.tables import HangTable, ShapeTable, TileTable


class Fit(NamedTuple):
    """collisions: pairs of tiles that collide, 0 if the shape can be glued. thickness_mm: with
    which tiles it can be, None where there is nothing to say.
    """

    collisions: int
    thickness_mm: float | None = None

    @property
    def can_be_glued(self) -> bool:
        """Whether no tiles collide."""
        return not self.collisions

    @property
    def remedies(self) -> dict[str, float]:
        return {} if self.thickness_mm is None else {"thickness_mm": self.thickness_mm}

    @property
    def says(self) -> str:
        """In words, what collides and what fits instead."""
        if self.can_be_glued:
            return "can be glued"
        return f"{self.collisions} pairs of tiles collide; fits: {self.thickness_mm} mm thick"


def fits(
    entries: Sequence[Entry],
    tile: TileTable,
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> list[Fit]:
    """Of each shape; tell(done, total) is called after each."""
    found = []
    for done, entry in enumerate(entries, start=1):
        body = build_body(ShapeTable.model_validate(entry.name), tile, HangTable())
        crowded = crowding(body, tile.thickness_mm / 1000.0)
        thickness = crowded.thickness
        found.append(Fit(len(crowded.tiles), None if thickness is None else 1000.0 * thickness))
        tell(done, len(entries))
    return found
