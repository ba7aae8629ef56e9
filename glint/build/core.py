"""The ready-made core of a ring-laid ball: how large it is, and where each ring of tiles goes."""

from __future__ import annotations

import math
from typing import NamedTuple

from glint.schema.tables import ShapeTable, TileTable
from glint.shape.bases.rings import lay_rings

_MM = 1e-3
_SAME = 1e-6  # radians between two rings that count as equally far from the equator


class Rings(NamedTuple):
    """Rings equally far from the equator. number: 2, or 1 on the equator itself; tiles: in each;
    away: from the equator to the middle of the tiles, along the core, m.
    """

    number: int
    tiles: int
    away: float


class Core(NamedTuple):
    """diameter: of the ball that the tiles are glued to, m; rings: from the equator outward."""

    diameter: float
    rings: tuple[Rings, ...]


def core_of(shape: ShapeTable, tile: TileTable, glue_film: float) -> Core:
    """The core of a ring-laid ball. glue_film: under each tile, m.

    Mirror faces touch the sphere of the shape's diameter with their middles; the core lies under
    them by a tile's thickness and the glue.
    """
    assert shape.diameter_m is not None
    diameter = shape.diameter_m - 2 * (tile.thickness_mm * _MM + glue_film)
    laid = lay_rings(shape.diameter_m, tile.edge_mm * _MM, shape.gap_mm * _MM)
    found: list[Rings] = []
    for colatitude, tiles in sorted(
        zip(laid.colatitudes.tolist(), laid.counts.tolist(), strict=True),
        key=lambda ring: abs(ring[0] - math.pi / 2),
    ):
        angle = abs(colatitude - math.pi / 2)
        away = 0.5 * diameter * (angle if angle > _SAME else 0.0)
        if found and abs(found[-1].away - away) < _SAME * diameter:
            found[-1] = found[-1]._replace(number=2)
        else:
            found.append(Rings(1, tiles, away))
    return Core(diameter, tuple(found))
