"""Equal-area cells of the dome: rings about the zenith, each cut into cells alike."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.optics.arrays import Floats, Integers
from glint.room.dome import Room
from glint.room.surface import Surface
from glint.scene.errors import GlintError

GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)
"""Golden section: the share of a turn from one point of a lattice to the next."""


@dataclass(frozen=True)
class Cells:
    """A cap of a sphere in cells of one area, as near to square as whole numbers allow.

    An equal share of the height is an equal share of the area (Archimedes), so a ring of k of n
    cells takes k / n of the cap's rise.

    cap: the surface; number: of cells
    """

    cap: Surface
    number: int

    @cached_property
    def rings(self) -> Integers:
        """Cells in each ring, from the zenith down: (r,) int."""
        edge = math.acos(1.0 - self.cap.height / self.cap.radius)
        side = math.sqrt(self.area) / self.cap.radius
        levels = np.linspace(0.0, edge, max(round(edge / side), 1) + 1)
        share = (1.0 - np.cos(levels)) / (1.0 - math.cos(edge))
        return np.asarray(np.diff(np.round(share * self.number)), np.int64)

    @property
    def area(self) -> float:
        """Of one cell, m**2."""
        return self.cap.area / self.number

    def of(self, points: Floats) -> Integers:
        """Number of the cell that each point (n, 3) of the cap lies in: (n,) int."""
        away = points - self.cap.centre
        place = (self.cap.radius - away[:, 2]) / self.cap.height * self.number
        start = np.concatenate([[0], np.cumsum(self.rings)])
        ring = np.searchsorted(start, place, side="right") - 1
        ring = np.clip(ring, 0, len(self.rings) - 1)
        turn = np.mod(np.arctan2(away[:, 1], away[:, 0]) / (2.0 * math.pi), 1.0)
        column = np.minimum((turn * self.rings[ring]).astype(np.int64), self.rings[ring] - 1)
        return start[ring] + column

    def counts(self, points: Floats) -> Integers:
        """Points (n, 3) in each cell: (number,) int."""
        return np.bincount(self.of(points), minlength=self.number)


def lattice(cap: Surface, number: int) -> Floats:
    """Points that share a cap evenly, and the unit normals there, towards the room: (n, 6) float.

    The Fibonacci lattice (Gonzalez 2010, Mathematical Geosciences 42, 49-64): no two points are at
    one height, so that spots which run along level circles do not fall between rows of points.
    Neighbours in the room are mostly neighbours in the list.
    """
    place = np.arange(number)
    up = cap.radius - (place + 0.5) / number * cap.height
    turn = np.mod(place * GOLDEN, 1.0) * 2.0 * math.pi
    out = np.sqrt(np.maximum(cap.radius**2 - up**2, 0.0))
    away = np.column_stack([out * np.cos(turn), out * np.sin(turn), up])
    points = np.hstack([cap.centre + away, -away / cap.radius])
    block = Cells(cap, max(number // 64, 1)).of(points[:, :3])
    return points[np.argsort(block, kind="stable")]


def dome_of(room: Room) -> Surface:
    """The dome of a room. Raises GlintError for a room without one."""
    surface = room.surfaces[0]
    if surface.kind != "cap":
        raise GlintError("measures are defined for a room with a dome: evenness, gaps and cover")
    return surface


def coefficient_of_variation(counts: Floats | Integers) -> float:
    """Standard deviation over mean; NaN where nothing is counted.

    Of points strewn at random, m to a cell on average, it is 1 / sqrt(m) (Poisson 1837).
    """
    mean = float(np.mean(counts))
    return float(np.std(counts)) / mean if mean > 0.0 else math.nan
