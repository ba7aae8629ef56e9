"""The ring-laid ball: square tiles in level rings on a sphere, the ordinary mirror ball.

Every tile touches the sphere with the middle of its mirror face. Behind them is an opaque core of
flat facets, which no tile is glued to in particular.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from glint.errors import ShapeError, in_words
from glint.shape.bases.base import Base, register
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron

MOST_TILES = 250_000

FACETS_ROUND = 24
"""Facets of the core round its equator; half as many from pole to pole."""

_SLACK = 1e-9  # so that what fits exactly is not lost to rounding


class Rings(NamedTuple):
    """colatitudes: (r,) float, radians from the top pole; counts: (r,) int tiles in each ring;
    places: (r,) int, the number of each ring counted with those left out at the poles.
    """

    colatitudes: np.ndarray
    counts: np.ndarray
    places: np.ndarray


def ring_laid_tiles(diameter: float, edge: float, gap: float) -> Polygons:
    """Mirror faces of the tiles, from the top ring down, all in one unit.

    diameter: of the sphere that the mirror faces touch. edge: of a tile. gap: see `lay_rings`.
    Every other ring is turned by half a tile.
    """
    colatitudes, counts, places = lay_rings(diameter, edge, gap)
    ring = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(len(ring)) - np.repeat(np.cumsum(counts) - counts, counts)
    theta = colatitudes[ring]
    azimuth = 2 * np.pi * (place + 0.5 * (places[ring] % 2)) / counts[ring]
    sine, cosine = np.sin(theta), np.cos(theta)
    out = np.stack([sine * np.cos(azimuth), sine * np.sin(azimuth), cosine], axis=1)
    south = np.stack([cosine * np.cos(azimuth), cosine * np.sin(azimuth), -sine], axis=1)
    east = np.stack([-np.sin(azimuth), np.cos(azimuth), np.zeros_like(theta)], axis=1)
    square = 0.5 * edge * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    corners = 0.5 * diameter * out[:, None] + square @ np.stack([south, east], axis=1)
    return Polygons(corners, np.full(len(ring), 4))


def lay_rings(diameter: float, edge: float, gap: float) -> Rings:
    """As many rings, and tiles in each, as fit: at least `gap` is left between the middles of
    facing tile edges, and corners, which come closer, never overlap seen from the ball's centre.

    Rings are spread evenly from pole to pole. The one next to each pole is left out where its
    corners would reach into the next; a hanger goes there. Raises ShapeError for a sphere too
    small for four tiles round, or too large for MOST_TILES.
    """
    _require_sensible(diameter, edge, gap)
    radius = 0.5 * diameter
    rings = int(math.pi / (2 * _half_step(radius, edge, gap)) + _SLACK)
    while not _clear_of_next(rings, radius, edge)[1:].all():
        rings -= 1
    polar = _clear_of_next(rings, radius, edge)[:1].all()
    places = np.arange(rings) if polar else np.arange(1, rings - 1)
    colatitudes = _spread(rings)[places]
    # The edge nearer the pole has the shorter way round: there corners meet first.
    narrowest = radius * np.sin(colatitudes) - 0.5 * edge * np.abs(np.cos(colatitudes))
    half_step = np.maximum(
        _half_step(radius * np.sin(colatitudes), edge, gap), _half_step(narrowest, edge, 0.0)
    )
    return Rings(colatitudes, np.floor(np.pi / half_step + _SLACK).astype(np.int64), places)


def faceted_core(radius: float) -> Polyhedron:
    """A closed convex body of level rows of flat facets, its corners on a sphere about the origin:
    it lies within every plane that touches that sphere.
    """
    rows = FACETS_ROUND // 2
    theta = np.pi * np.arange(1, rows) / rows
    azimuth = 2 * np.pi * np.arange(FACETS_ROUND) / FACETS_ROUND
    level = np.stack(
        [
            np.outer(np.sin(theta), np.cos(azimuth)),
            np.outer(np.sin(theta), np.sin(azimuth)),
            np.repeat(np.cos(theta)[:, None], FACETS_ROUND, axis=1),
        ],
        axis=2,
    ).reshape(-1, 3)
    poles = np.array([[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]])
    top, bottom = len(level), len(level) + 1
    sides = [(i, (i + 1) % FACETS_ROUND) for i in range(FACETS_ROUND)]
    starts = [row * FACETS_ROUND for row in range(rows - 1)]
    faces: list[tuple[int, ...]] = [(top, i, j) for i, j in sides]
    faces += [(s + i, t + i, t + j, s + j) for s, t in pairwise(starts) for i, j in sides]
    faces += [(bottom, starts[-1] + j, starts[-1] + i) for i, j in sides]
    return Polyhedron(radius * np.concatenate([level, poles]), tuple(faces))


def _half_step(reach: float | np.ndarray, edge: float, gap: float) -> np.ndarray:
    """Half the angle between two equal flat tiles about a common axis, each at right angles to its
    own direction with its middle at distance `reach`, so that `gap` is left between their edges.

    An edge lies at (reach, edge / 2), and half a gap from the plane that parts the two.
    """
    return np.arctan2(0.5 * edge, reach) + np.arcsin(0.5 * gap / np.hypot(reach, 0.5 * edge))


def _spread(rings: int) -> np.ndarray:
    return np.pi * (np.arange(rings) + 0.5) / rings


def _clear_of_next(rings: int, radius: float, edge: float) -> np.ndarray:
    """Whether the corners of each ring of the upper half stay above the ring under it.

    Seen from the centre a level tile edge is an arc that sags towards the equator, so its corners
    hang lowest, and the next ring's edges are highest in their middles.
    """
    half = 0.5 * edge
    theta = _spread(rings)[: (rings + 1) // 2]
    lower_edge = radius * np.sin(theta) + half * np.cos(theta)
    height = radius * np.cos(theta) - half * np.sin(theta)
    corners = np.arctan2(np.hypot(lower_edge, half), height)
    middles = theta - math.atan2(half, radius)
    return corners[:-1] <= middles[1:] + _SLACK


def _require_sensible(diameter: float, edge: float, gap: float) -> None:
    least = edge + math.sqrt(2) * gap  # four tiles round, at right angles
    most = (edge + gap) * math.sqrt(MOST_TILES / math.pi)
    if not least <= diameter * (1 + _SLACK):
        allowed = f"at least {math.ceil(least * 1e4) / 1e4:g} for tiles of this edge and gap"
        raise ShapeError("shape.diameter_m", in_words(diameter), allowed)
    if diameter > most:
        allowed = f"at most {math.floor(most * 1e4) / 1e4:g} for tiles of this edge and gap"
        raise ShapeError("shape.diameter_m", in_words(diameter), allowed)


register(
    Base(
        "rings",
        None,
        takes=("gap_mm",),
        needs=("diameter_m",),
        tiling="laid",
        words=lambda sides: "ring-laid ball",
        listed=(),
    )
)
