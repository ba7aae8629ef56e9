"""Which shapes of the catalogue can be glued with given tiles, and what fits on the others.

A tile stands proud of its panel by its thickness less the depth of the panel's pocket. In valleys
tiles that stand proud come nearer to each other, until they collide.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from glint.errors import ShapeError
from glint.shape import tiles
from glint.shape.body import build_body
from glint.shape.catalogue import Entry
from glint.shape.cutting import cutting_pairs
from glint.shape.face_names import counted
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import panels
from glint.shape.tables import HangTable, ShapeTable, TileTable

FINENESS = 1e-3
"""How closely the sizes that fit are found, mm."""

WIDEST = 8.0
"""Panels are looked for up to so many times as wide."""


class Fit(NamedTuple):
    """collisions: pairs of tiles that collide, 0 if the shape can be glued; problem: another reason
    why it cannot, "" for none. The sizes, mm, of which each alone would do, the other three as they
    are: the largest tile, the thickest tile, the shallowest pocket, the smallest panel; None where
    nothing collides, or where no size does.
    """

    collisions: int
    problem: str = ""
    edge_mm: float | None = None
    thickness_mm: float | None = None
    recess_mm: float | None = None
    panel_edge_mm: float | None = None

    @property
    def can_be_glued(self) -> bool:
        """Whether nothing is in the way."""
        return not self.collisions and not self.problem

    @property
    def sizes(self) -> dict[str, float]:
        """The sizes that fit, by the keys of a [tile] table, rounded to the side that fits."""
        down, up = ("edge_mm", "thickness_mm"), ("recess_mm", "panel_edge_mm")
        found = {key: np.floor(10.0 * v) / 10.0 for key in down if (v := getattr(self, key))}
        found |= {key: np.ceil(10.0 * v) / 10.0 for key in up if (v := getattr(self, key))}
        return {key: float(value) for key, value in found.items() if value > 0.0}

    @property
    def says(self) -> str:
        """In words, what is in the way and what fits instead."""
        if self.can_be_glued:
            return "can be glued"
        if self.problem:
            return self.problem
        words = {
            "edge_mm": "tiles of at most {:g} mm",
            "thickness_mm": "tiles at most {:g} mm thick",
            "recess_mm": "pockets at least {:g} mm deep",
            "panel_edge_mm": "panels of at least {:g} mm",
        }
        instead = [words[key].format(value) for key, value in self.sizes.items()]
        what = f"{counted(self.collisions, 'pair')} of tiles collide"
        return f"{what}; what fits: {', or '.join(instead)}" if instead else what


def fits(
    entries: Sequence[Entry],
    tile: TileTable,
    recess_mm: float,
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> list[Fit]:
    """Of each shape; recess_mm: the depth of the pockets, at most the tile's thickness.

    tell(done, total) is called after each.
    """
    found = []
    for done, entry in enumerate(entries, start=1):
        found.append(_fit(entry, tile, recess_mm))
        tell(done, len(entries))
    return found


def _fit(entry: Entry, tile: TileTable, recess: float) -> Fit:
    try:
        body = build_body(ShapeTable.model_validate(entry.name), tile, HangTable())
    except ShapeError as error:
        return Fit(0, f"{error.found}; allowed: {error.allowed}")
    edge, panel = tile.edge_mm, tile.panel_edge_mm
    proud = tile.thickness_mm - recess
    if body.convex or proud <= 0.0:
        return Fit(0)
    # In edges of the panel.
    frame = panels(body.frame)
    frame = Polygons(frame.corners / body.panel_edge, frame.sides)
    pairs = cutting_pairs(tiles.glued(frame, edge / panel, proud / panel))
    if not pairs.size:
        return Fit(0)
    crowded = np.unique(pairs)
    few = Polygons(frame.corners[crowded], frame.sides[crowded])

    def clear(edge: float, proud: float, panel: float) -> bool:
        return not cutting_pairs(tiles.glued(few, edge / panel, proud / panel)).size

    lowest = _last(lambda height: clear(edge, height, panel), 0.0, proud)
    largest = _last(lambda size: clear(size, proud, panel), 0.0, edge)
    spread = _last(
        lambda less: clear(edge, proud, WIDEST * panel - less), 0.0, panel * (WIDEST - 1)
    )
    return Fit(
        len(pairs),
        edge_mm=largest,
        thickness_mm=None if lowest is None else recess + lowest,
        recess_mm=None if lowest is None else tile.thickness_mm - lowest,
        panel_edge_mm=None if spread is None else WIDEST * panel - spread,
    )


def _last(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    """The largest number up to which something holds, by bisection; None if it never does.

    It holds not at `high`. Tiles that are clear of each other stay so when they are thinner or
    smaller, or their panels larger.
    """
    first = min(low + FINENESS, high)
    if not holds(first):
        return None
    low = first
    while high - low > FINENESS:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
