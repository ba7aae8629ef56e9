"""A stock of tiles: which shapes of the catalogue it covers, and what each falls short of.

Spare tiles are kept for breakage: with so many percent to spare, a shape of n tiles asks for
n (1 + percent / 100) of them, counted over the whole set and not shape by shape.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from functools import cache
from typing import NamedTuple

import numpy as np
from scipy.spatial.distance import pdist

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.body import build_body
from glint.shape.catalogue import Entry, catalogue
from glint.shape.gluing import Gluing, gluing
from glint.shape.named_shapes import shape_named
from glint.shape.steps import apply_steps
from glint.shape.tables import HangTable, ShapeTable, TileTable

_ALIKE = 6  # decimals, in edges, to which two distances between corners are the same


class Stock(NamedTuple):
    """So many tiles of each kind, and how many percent more than needed are to be at hand."""

    triangles: int
    squares: int
    spare: float = 0.0

    @property
    def usable(self) -> tuple[int, int]:
        """Triangles and squares that may be glued, the spare ones set aside."""
        share = 1 + Fraction(str(self.spare)) / 100
        return int(self.triangles / share), int(self.squares / share)


class Cover(NamedTuple):
    """One shape that the stock covers: how many times over, and what is left beside one of it."""

    entry: Entry
    times: int
    triangles_left: int
    squares_left: int


class Shortage(NamedTuple):
    """One shape that the stock does not cover, and the tiles that are missing for it."""

    entry: Entry
    triangles: int
    squares: int


@cache
def candidates() -> tuple[Entry, ...]:
    """Every shape of the catalogue that can be built, each body once, in the catalogue's order.

    Some bodies come about in two ways: an antiprism with its pentagons raised is the icosahedron.
    Bodies with the same distances between their corners count as one.
    """
    fit = [entry for entry in catalogue() if entry.buildable]
    shared = Counter((entry.triangles, entry.squares) for entry in fit)
    found: dict[tuple[object, ...], Entry] = {}
    for entry in fit:
        tiles = entry.triangles, entry.squares
        # Only bodies that take the same tiles need a closer look.
        found.setdefault((*tiles, *(_distances(entry) if shared[tiles] > 1 else ())), entry)
    return tuple(found.values())


def of_size(least_tiles: int) -> list[Entry]:
    """The candidates of at least so many tiles."""
    return [entry for entry in candidates() if entry.triangles + entry.squares >= least_tiles]


def covered(stock: Stock, entries: Iterable[Entry]) -> list[Cover]:
    """Those shapes that the stock covers at least once, most tiles first, then as they came."""
    triangles, squares = stock.usable
    rows = []
    for entry in entries:
        pairs = ((triangles, entry.triangles), (squares, entry.squares))
        times = min(have // need for have, need in pairs if need)
        if times:
            left = triangles - entry.triangles, squares - entry.squares
            rows.append(Cover(entry, times, *left))
    return sorted(rows, key=lambda row: -(row.entry.triangles + row.entry.squares))


def shortages(stock: Stock, entries: Iterable[Entry], most: int = 3) -> list[Shortage]:
    """Those shapes that miss the fewest tiles, fewest first, then as they came."""
    triangles, squares = stock.usable
    rows = []
    for entry in entries:
        missing = max(entry.triangles - triangles, 0), max(entry.squares - squares, 0)
        if any(missing):
            rows.append(Shortage(entry, *missing))
    return sorted(rows, key=lambda row: row.triangles + row.squares)[:most]


def _distances(entry: Entry) -> tuple[bytes, bytes]:
    """All distances between corners of panels, and how often each comes, in edges."""
    named = shape_named(entry.name)
    assert named is not None  # it is of the catalogue
    body = apply_steps(solid(entry.base, entry.sides), named.steps)
    used = np.unique([corner for face in body.faces for corner in face])
    values, counts = np.unique(np.round(pdist(body.vertices[used]), _ALIKE), return_counts=True)
    return values.tobytes(), counts.tobytes()


def judged_all(
    entries: Sequence[Entry],
    tile: TileTable,
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> list[Gluing]:
    """Whether each shape can be glued with such tiles; tell(done, total) is called after each."""
    found = []
    for done, entry in enumerate(entries, start=1):
        shape = ShapeTable.model_validate(entry.name)
        try:
            found.append(gluing(build_body(shape, tile, HangTable()), shape, tile))
        except ShapeError as error:
            problem = f"{error.found}; allowed: {error.allowed}"
            found.append(Gluing(0, tile.thickness_mm, problem=problem))
        tell(done, len(entries))
    return found
