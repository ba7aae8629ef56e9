"""Equal-area cells of what is overhead: rings about the zenith, or rows, cut into cells alike."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.kernels.arrays import Floats, Integers
from glint.room.overhead import Overhead
from glint.room.surface import Surface

GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)
"""Golden section: the share of a turn from one point of a lattice to the next."""


@dataclass(frozen=True)
class Cells:
    """A surface in cells of one area, as near to square as whole numbers allow.

    surface: all of what is overhead; number: of cells
    """

    surface: Overhead | Surface
    number: int

    @cached_property
    def rings(self) -> Integers:
        """Cells in each ring or row, from the zenith down: (r,) int."""
        share = self.surface.even_steps(math.sqrt(self.area))
        return np.asarray(np.diff(np.round(share * self.number)), np.int64)

    @property
    def area(self) -> float:
        """Of one cell, m**2."""
        return self.surface.area / self.number

    def of(self, points: Floats) -> Integers:
        """Number of the cell that each point (n, 3) of the surface lies in: (n,) int."""
        down, round_ = self.surface.to_square(points).T
        start = np.concatenate([[0], np.cumsum(self.rings)])
        ring = np.searchsorted(start, down * self.number, side="right") - 1
        ring = np.clip(ring, 0, len(self.rings) - 1)
        column = np.minimum((round_ * self.rings[ring]).astype(np.int64), self.rings[ring] - 1)
        return start[ring] + column

    def counts(self, points: Floats) -> Integers:
        """Points (n, 3) in each cell: (number,) int."""
        return np.bincount(self.of(points), minlength=self.number)


def lattice(surface: Overhead | Surface, number: int) -> Floats:
    """Points that share a surface evenly, and the unit normals there, towards the room: (n, 6).

    The Fibonacci lattice (Gonzalez 2010, Mathematical Geosciences 42, 49-64): no two points are at
    one height, so that spots which run along level circles do not fall between rows of points.
    Neighbours in the room are mostly neighbours in the list.
    """
    place = np.arange(number)
    square = np.column_stack([(place + 0.5) / number, np.mod(place * GOLDEN, 1.0)])
    points = surface.from_square(square)
    block = Cells(surface, max(number // 64, 1)).of(points)
    points = points[np.argsort(block, kind="stable")]
    return np.hstack([points, surface.normals(points)])


def coefficient_of_variation(counts: Floats | Integers) -> float:
    """Standard deviation over mean; NaN where nothing is counted.

    Of points strewn at random, m to a cell on average, it is 1 / sqrt(m) (Poisson 1837).
    """
    mean = float(np.mean(counts))
    return float(np.std(counts)) / mean if mean > 0.0 else math.nan
