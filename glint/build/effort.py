"""What a shape of the catalogue comes to: its weight, the hours of gluing, and its size."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from glint.build.hours import hours
from glint.shape.body import build_body
from glint.shape.catalogue import Entry
from glint.shape.joints import joints
from glint.shape.tables import HangTable, ShapeTable, TileTable, WorkshopTable
from glint.shape.weight import weigh


class Effort(NamedTuple):
    """kg: of tiles, panels and glue; gluing_h: to glue its tiles and join its panels; diameter:
    of the sphere about all its corners, tiles too, m.
    """

    kg: float
    gluing_h: float
    diameter: float


def effort(entry: Entry, tile: TileTable, workshop: WorkshopTable) -> Effort:
    """Of one body with such tiles, built in such a workshop."""
    shape = ShapeTable.model_validate(entry.name)
    body = build_body(shape, tile, HangTable())
    tiles = entry.triangles + entry.squares
    time = hours(tiles, len(joints(body.frame).ends), tiles, workshop)
    return Effort(
        kg=weigh(body, tile.thickness_mm / 1e3, workshop, shape.recess_of(tile) / 1e3).total,
        gluing_h=time.gluing + time.joining,
        diameter=2.0 * body.radius,
    )


def together(parts: Iterable[tuple[Effort, int]]) -> Effort:
    """Of a whole set: each body and how often it is built. Its diameter is that of the largest."""
    rows = list(parts)
    return Effort(
        kg=sum(one.kg * times for one, times in rows),
        gluing_h=sum(one.gluing_h * times for one, times in rows),
        diameter=max(one.diameter for one, _ in rows),
    )
