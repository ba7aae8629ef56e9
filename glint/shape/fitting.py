"""The largest tile that fits on a convex panel: a square, a triangle, or one cut to the panel."""

from __future__ import annotations

import itertools
import math
from functools import cache
from typing import NamedTuple

import numpy as np
import shapely

SMALLEST = 1e-3
"""Edge of the smallest tile that anybody glues, metres."""

_SQUARE, _TRIANGLE = 4, 3
_COARSE = math.radians(5.0)
_ROUNDS = 4  # of refining the angle, each five times as fine
_SLACK = 1e-9


class Fit(NamedTuple):
    """Corners (k, 2) of a regular tile, and its edge, in the unit of the panel."""

    corners: np.ndarray
    edge: float


def inset(panel: np.ndarray, margin: float) -> np.ndarray:
    """A convex panel (k, 2) with `margin` taken off along every side, (m, 2); (0, 2) if nothing is
    left that a tile of SMALLEST size could be cut from.
    """
    rest = shapely.Polygon(panel).buffer(-margin, join_style="mitre", mitre_limit=1e6)
    hopeless = 0.25 * SMALLEST
    if rest.is_empty or rest.geom_type != "Polygon" or rest.buffer(-hopeless).is_empty:
        return np.zeros((0, 2))
    ring = shapely.get_coordinates(shapely.orient_polygons(rest).exterior)[:-1]
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turns = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    lengths = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return ring[turns > 1e-6 * lengths]


def largest_regular(panel: np.ndarray, sides: int, edge: float) -> Fit:
    """The largest equilateral triangle or square in a convex panel (k, 2), its edge at most `edge`.

    For one angle of the tile, its place and size are three unknowns in linear inequalities, one a
    side of the panel, and the best solution fulfils three of them exactly; every three are tried.
    Angles are those of the panel's sides, and 5 degrees apart, then finer about the best.
    """
    along = np.roll(panel, -1, axis=0) - panel
    along /= np.linalg.norm(along, axis=1)[:, None]
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1)
    reach = (outward * panel).sum(axis=1)
    period = 2 * math.pi / sides
    aligned = np.arctan2(along[:, 1], along[:, 0]) % period
    angles = np.concatenate([aligned, np.arange(0.0, period, _COARSE)])
    best = _best_at(outward, reach, sides, angles)
    step = _COARSE
    for _ in range(_ROUNDS):
        near = best[3] + step * np.linspace(-1.0, 1.0, 11)
        finer = _best_at(outward, reach, sides, near)
        # The panel's own sides win where a finer angle gains nothing to speak of.
        if finer[2] > best[2] * (1 + 1e-6):
            best = finer
        step /= 5.0
    size = min(best[2] * (1 - _SLACK), edge)
    tile = size * _turned(sides, np.array([best[3]]))[0]
    return Fit(tile + _middle(outward, reach - (outward @ tile.T).max(axis=1)), size)


def _best_at(
    outward: np.ndarray, reach: np.ndarray, sides: int, angles: np.ndarray
) -> tuple[float, float, float, float]:
    """Middle, edge and angle of the largest tile at any of some angles (a,)."""
    tile = _turned(sides, angles)
    # How far a tile of edge 1 reaches towards each side of the panel: (a, m).
    spread = np.einsum("mk,avk->amv", outward, tile).max(axis=2)
    rows = _threes(len(reach))
    left = np.empty((len(angles), len(rows), 3, 3))
    left[..., :2] = outward[rows]
    left[..., 2] = spread[:, rows]
    right = np.broadcast_to(reach[rows], left.shape[:3])
    regular = np.abs(np.linalg.det(left)) > 1e-9
    found = np.linalg.solve(left[regular], right[regular][..., None])[..., 0]
    which = np.nonzero(regular)[0]
    used = found[:, :2] @ outward.T + found[:, 2:] * spread[which]
    scale = np.abs(reach).max() + np.ptp(reach)
    size = np.where((used <= reach + 1e-10 * scale).all(axis=1), found[:, 2], -1.0)
    # Of equals, to rounding, the first: so like panels get like tiles.
    first = int(np.argmax(size >= size.max() * (1 - 1e-9)))
    x, y, edge = found[first].tolist()
    return x, y, edge, float(angles[which[first]])


def _middle(outward: np.ndarray, reach: np.ndarray) -> np.ndarray:
    """The point (2,) farthest from all sides; of a stretch or patch of such points its middle."""
    rows = _threes(len(reach))
    left = np.ones((len(rows), 3, 3))
    left[..., :2] = outward[rows]
    regular = np.abs(np.linalg.det(left)) > 1e-9
    found = np.linalg.solve(left[regular], reach[rows[regular]][..., None])[..., 0]
    scale = np.abs(reach).max() + np.ptp(reach)
    inside = (found[:, :2] @ outward.T + found[:, 2:] <= reach + 1e-9 * scale).all(axis=1)
    found = found[inside]
    best = found[found[:, 2] >= found[:, 2].max() - 1e-9 * scale, :2]
    # Three sides that meet in one point with a fourth give it twice.
    return np.unique(np.round(best / scale, 9), axis=0).mean(axis=0) * scale


def _turned(sides: int, angles: np.ndarray) -> np.ndarray:
    """Corners (a, sides, 2) of regular polygons of edge 1 about the origin, with a side at each of
    some angles.
    """
    place = np.arange(sides) * 2 * math.pi / sides - math.pi / 2 - math.pi / sides
    round_about = angles[:, None] + place
    radius = 0.5 / math.sin(math.pi / sides)
    return radius * np.stack([np.cos(round_about), np.sin(round_about)], axis=2)


@cache
def _threes(number: int) -> np.ndarray:
    return np.array(list(itertools.combinations(range(number), 3)))
