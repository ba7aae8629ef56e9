"""Whether a body's tiles can be glued on, or collide in its valleys; and what would fit instead.

A tile is a prism. What stands proud of the panel may run into its neighbour's across a valley, and
there alone: below its face a panel keeps its own tile apart from the others.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.body import MESH_DEPTH, Body
from glint.shape.cutting import DEPTH, near_pairs
from glint.shape.prisms import prisms_meet
from glint.shape.tables import ShapeTable, TileTable

STEPS = 40
"""Halvings of the interval in which the largest or smallest size is sought."""

LARGEST_PANEL = 64.0
"""Most that a panel is enlarged to make room, in edges of its own."""

AT_ONCE = 20_000
"""Pairs of tiles looked at together, to bound the memory."""

SMALLEST_TILE_MM, THINNEST_TILE_MM = 1.0, 0.1

_ALIKE = 6  # decimals, in panel edges, to which two pairs of panels lie alike


class Gluing(NamedTuple):
    """Whether the tiles of a body can be glued on.

    collisions: pairs of tiles that run into each other; thickness_mm: of the tiles as they are.
    What would fit, everything else as it is, or None where nothing would: largest_tile_mm, an edge;
    largest_thickness_mm; shallowest_recess_mm, of the panels' pockets; smallest_panel_edge_mm. Each
    is a bound that just touches. problem: another reason why it cannot be glued, "" for none.
    """

    collisions: int
    thickness_mm: float
    largest_tile_mm: float | None = None
    largest_thickness_mm: float | None = None
    shallowest_recess_mm: float | None = None
    smallest_panel_edge_mm: float | None = None
    problem: str = ""

    @property
    def possible(self) -> bool:
        """Whether no tiles collide, and nothing else is in the way."""
        return not self.collisions and not self.problem

    @property
    def remedies(self) -> dict[str, float]:
        """What fits instead by keys of the tile table: rounded so that it does fit."""
        bounds = {
            "thickness_mm": (self.largest_thickness_mm, math.floor),
            "recess_mm": (self.shallowest_recess_mm, math.ceil),
            "edge_mm": (self.largest_tile_mm, math.floor),
            "panel_edge_mm": (self.smallest_panel_edge_mm, math.ceil),
        }
        return {
            key: rounded(100.0 * bound) / 100.0
            for key, (bound, rounded) in bounds.items()
            if bound is not None
        }

    @property
    def says(self) -> str:
        """In words: what collides, and what fits instead."""
        if self.possible:
            return "can be glued"
        if self.problem:
            return self.problem
        places = "1 place" if self.collisions == 1 else f"{self.collisions} places"
        found = f"{self.thickness_mm:g} mm tiles do not fit: neighbours collide in {places}"
        words = {
            "thickness_mm": "tiles up to {:g} mm thick",
            "recess_mm": "a pocket of recess_mm = {:g}",
            "edge_mm": "tiles of edge_mm = {:g}",
            "panel_edge_mm": "panels of {:g} mm",
        }
        fitting = [words[key].format(value) for key, value in self.remedies.items()]
        return f"{found}; what fits: {', or '.join(fitting)}" if fitting else found


def gluing(body: Body, shape: ShapeTable, tile: TileTable) -> Gluing:
    """Judge a body made from a shape with such tiles."""
    proud = shape.proud_of(tile) / 1000.0  # nothing where flush: what LEAST_PROUD adds is no glass
    found = _Collisions.on(body, proud)
    count = len(found.pairs)
    if not count:
        return Gluing(0, tile.thickness_mm)
    highest = 1000.0 * proud * _largest_share(lambda share: found.meet(share * proud))
    recess = shape.recess_of(tile)
    thickest = recess + highest if recess + highest >= THINNEST_TILE_MM else None
    pocket = None if shape.is_laid else tile.thickness_mm - highest
    if body.cut_to_size or shape.is_mesh or shape.is_laid:
        return Gluing(count, tile.thickness_mm, None, thickest, pocket, None)
    edge = tile.edge_mm * _largest_share(lambda share: found.meet(proud, share))
    # Larger panels are smaller and thinner tiles on panels of the same size.
    share = _largest_share(lambda share: found.meet(share * proud, share))
    return Gluing(
        count,
        tile.thickness_mm,
        edge if edge >= SMALLEST_TILE_MM else None,
        thickest,
        pocket,
        tile.panel_edge_mm / share if share > 1.0 / LARGEST_PANEL else None,
    )


class _Collisions(NamedTuple):
    """Tiles that collide. pairs: (k, 2) int, of all of them; first, second: one pair of each kind
    that lies alike, faces of the tiles, and the directions out of them (p, 3)."""

    pairs: np.ndarray
    first: np.ndarray
    second: np.ndarray
    first_out: np.ndarray
    second_out: np.ndarray
    proud: float
    depth: float

    @classmethod
    def on(cls, body: Body, proud: float) -> _Collisions:
        """Of a body whose tiles stand proud by so much, m."""
        faces, glued = body.tiles, body.tile_panel
        corners = faces.corners
        size = float(np.linalg.norm(corners - polygons.centres(faces)[:, None], axis=2).max())
        depth = (MESH_DEPTH if body.base == "mesh" else DEPTH) * size
        out = polygons.normals(faces)
        if (glued >= 0).all():  # a crooked tile is let into its pocket, or glued, along the panel
            out = polygons.normals(body.panels)[glued]
        empty = np.empty((0, 2), np.int64)
        pairs = empty
        if proud > 0.0 and not body.convex:
            pairs = near_pairs(np.concatenate([corners, corners - proud * out[:, None]], 1), depth)
            parts = [pairs[:0]]
            for start in range(0, len(pairs), AT_ONCE):
                some = pairs[start : start + AT_ONCE]
                one, other = some.T
                hit = prisms_meet(corners[one], out[one], corners[other], out[other], proud, depth)
                parts.append(some[hit])
            pairs = np.concatenate(parts)
        kinds = _kinds(corners, pairs)
        one, other = pairs[kinds].T
        return cls(pairs, corners[one], corners[other], out[one], out[other], proud, depth)

    def meet(self, proud: float, share: float = 1.0) -> bool:
        """Whether any would still collide, standing proud by so much, m, and `share` as large."""
        ends = []
        for faces, out in ((self.first, self.first_out), (self.second, self.second_out)):
            foot = faces - self.proud * out[:, None]
            middle = _middles(foot)
            ends.append(middle + share * (foot - middle) + proud * out[:, None])
        first, second = ends
        depth = self.depth * share
        hit = prisms_meet(first, self.first_out, second, self.second_out, proud, depth)
        return bool(hit.any())


def _largest_share(meet: Callable[[float], bool]) -> float:
    """The largest share, up to 1, with which nothing meets: less never does, more always does."""
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        if meet(middle):
            high = middle
        else:
            low = middle
    return low


def _middles(faces: np.ndarray) -> np.ndarray:
    """The middle of the real corners of padded faces (p, V, 3): (p, 1, 3)."""
    repeated = (faces[:, 1:] == faces[:, :-1]).all(axis=2)
    real = np.concatenate([np.ones((len(faces), 1), bool), ~repeated], axis=1)[..., None]
    return (faces * real).sum(axis=1, keepdims=True) / real.sum(axis=1, keepdims=True)


def _kinds(corners: np.ndarray, pairs: np.ndarray) -> np.ndarray:
    """Of pairs of faces that lie alike the first one: places in `pairs`."""
    if not len(pairs):
        return np.empty(0, np.int64)
    one, other = corners[pairs[:, 0]], corners[pairs[:, 1]]
    away = np.linalg.norm(one[:, :, None] - other[:, None], axis=3).reshape(len(pairs), -1)
    scale = away.max()
    return np.unique(np.round(np.sort(away) / scale, _ALIKE), axis=0, return_index=True)[1]
