"""Which bodies a first scene hangs: a handful of different ones that a stock of tiles makes."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import cache
from typing import NamedTuple

from glint.build.stock import Stock, candidates
from glint.errors import ShapeError
from glint.shape.body import Body, build_body
from glint.shape.catalogue import Entry
from glint.shape.gluing import gluing
from glint.shape.tables import HangTable, ShapeTable, TileTable

MOST_BODIES = 5
LEAST_TILES = 20
"""Tiles of the smallest body of several: of fewer there are too few spots."""

LEAST_RINGS = 60
"""Squares from which on a ring-laid ball is worth its core."""

NEARLY = 0.8
"""Share of the most tiles from which on another base is preferred."""

MARGIN = 1.28
"""Edge of a panel over that of its tile, as in the scene file's defaults of 32 and 25 mm."""

THICKNESS = 1.5
"""Of small mirror tiles, mm; common practice."""


class Chosen(NamedTuple):
    """One body: its name, its shape as a scene file has it, and the tiles that it takes."""

    name: str
    shape: str
    body: Body
    triangles: int
    squares: int


def tile_table(edge: float) -> TileTable:
    """The tiles of a first scene, of an edge in mm."""
    panel = round(MARGIN * edge, 1)
    return TileTable(edge_mm=edge, panel_edge_mm=panel, thickness_mm=THICKNESS)


def chosen_shapes(
    stock: Stock, edge: float, widest: Callable[[int], float], most: int = MOST_BODIES
) -> list[Chosen]:
    """As many different bodies as the stock makes, at most `most`, of about as many tiles
        each; none if it makes nothing.

    edge: of a tile, mm. widest: diameter of the largest of so many bodies, m. The same for the same
    stock.
    """
    for count in range(most, 0, -1):
        found = _some(stock.usable, count, edge, widest(count))
        if len(found) == count:
            return found
    return []


def _some(usable: tuple[int, int], count: int, edge: float, widest: float) -> list[Chosen]:
    """So many bodies, or fewer if the tiles do not go round."""
    triangles, squares = usable
    found: list[Chosen] = []
    least = LEAST_TILES if count > 1 else 1
    while len(found) < count:
        rest = count - len(found)
        share = (triangles // rest, squares // rest)
        if rest == 1 and (ball := _rings(share[1], edge, widest)) is not None:
            body = _best(share, found, edge, widest, least)
            one = ball if body is None or ball.squares > body.triangles + body.squares else body
        else:
            one = _best(share, found, edge, widest, least)
        if one is None:
            break
        found.append(one)
        triangles, squares = triangles - one.triangles, squares - one.squares
    return found


def _best(
    share: tuple[int, int], before: list[Chosen], edge: float, widest: float, least: int
) -> Chosen | None:
    """The body of the most tiles within a share of the stock, or nearly so with a new base."""
    names = {one.name for one in before}
    bases = {name.split(",")[0] for name in names}
    ranked = sorted(
        (entry for entry in candidates() if entry.name not in names),
        key=lambda entry: -(entry.triangles + entry.squares),
    )
    within = [
        entry
        for entry in ranked
        if entry.triangles <= share[0]
        and entry.squares <= share[1]
        and entry.triangles + entry.squares >= least
        and entry.diameter * tile_table(edge).panel_edge_mm / 1000.0 <= widest
    ]
    fitting = (one for entry in within if (one := _built(entry, edge)) is not None)
    best = next(fitting, None)
    if best is None:
        return None
    enough = NEARLY * (best.triangles + best.squares)
    others = (one for one in fitting if one.triangles + one.squares >= enough)
    for one in (best, *_while_enough(others)):
        if one.body.base not in bases:
            return one
    return best


def _while_enough(others: Iterator[Chosen]) -> Iterator[Chosen]:
    for number, one in enumerate(others):
        if number == 8:  # further ones are hardly better, and each takes its time
            return
        yield one


@cache
def _built(entry: Entry, edge: float) -> Chosen | None:
    """A body of the catalogue; None if its tiles would be in each other's way."""
    shape, tile = ShapeTable.model_validate(entry.name), tile_table(edge)
    body = build_body(shape, tile, HangTable(by="vertex"))
    if entry.remarks or not gluing(body, shape, tile).possible:
        return None
    return Chosen(entry.name, f'"{entry.name}"', body, entry.triangles, entry.squares)


def _rings(squares: int, edge: float, widest: float) -> Chosen | None:
    """The largest ring-laid ball of at most so many squares; its size in whole centimetres."""
    if squares < LEAST_RINGS:
        return None
    pitch = (edge + 2.0) / 1000.0
    most = min(widest, pitch * math.sqrt(squares / math.pi) * 1.1)
    for centimetres in range(math.floor(100.0 * most), 1, -1):
        diameter = centimetres / 100.0
        shape = ShapeTable(base="rings", diameter_m=diameter)
        try:
            body = build_body(shape, tile_table(edge), HangTable(by="vertex"))
        except ShapeError:
            return None
        if len(body.tile_sides) <= squares:
            told = f'{{ base = "rings", diameter_m = {diameter:g} }}'
            return Chosen("mirror ball", told, body, 0, len(body.tile_sides))
    return None
