"""One surface of the room, and the chart that maps it: what every kind has in common.

A kind is a class in `glint.room.surfaces`, and its formulas for the kernels a file in
`glint.kernels.surfaces`.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.room.solid_angle_region import Sky

MOST = 8
"""Most texels of a map, in squares of the width of the middle surface's."""

AROUND = 96
"""Parts of a rim in a mesh: the area of a disc comes out 0.07 % too small."""


class Mesh(NamedTuple):
    """Triangles. corners: (v, 3) float, m; triangles: (t, 3) int, anticlockwise from the front."""

    corners: Floats
    triangles: NDArray[np.int64]


@dataclass(frozen=True, kw_only=True)
class Surface(ABC):
    """A part of the room's inside.

    kind: its number in the kernels
    reflectance: (3,) float, linear RGB, diffuse
    open: share of the surface that carries nothing: light that falls there leaves
    """

    kind: ClassVar[int]
    name: str
    reflectance: Floats
    open: float = 0.0

    @property
    def mean_reflectance(self) -> Floats:
        """What an even light gets back from it: (3,) float."""
        return (1.0 - self.open) * self.reflectance

    @property
    @abstractmethod
    def area(self) -> float:
        """Area, m**2."""

    @property
    @abstractmethod
    def top(self) -> float:
        """Height of the highest point, m."""

    @abstractmethod
    def normals(self, points: Floats) -> Floats:
        """Unit normals towards the room at points (n, 3) of the surface: (n, 3) float."""

    @abstractmethod
    def size(self, texels: int) -> tuple[int, int]:
        """Rows and columns of a map where the middle surface's is `texels` wide."""

    @abstractmethod
    def place(self, texels: int) -> Floats:
        """First texel's centre and step, across the columns and down the rows: (4,) float.

        What is overhead is seen lying on one's back, +y up and so +x to the left; a floor from
        above, +y up and +x to the right; a wall from inside, up as it is, azimuth falling to the
        right.
        """

    @property
    @abstractmethod
    def form(self) -> Floats:
        """(11,) float, as the kernels take it; see the file of its kind there."""

    @abstractmethod
    def clearance(self, place: Floats) -> float:
        """Distance of a point from the surface and on, m; below zero behind it. Infinite where
        another surface is nearer for certain."""

    @abstractmethod
    def furthest(self, place: Floats) -> float:
        """Distance of a point inside the room from the furthest of the surface, m."""

    @abstractmethod
    def mesh(self) -> Mesh:
        """Triangles, seen from inside the room; every rim is cut into AROUND parts from +x, so that
        surfaces that meet share their corners."""

    @abstractmethod
    def turns_about(self, axis: Floats) -> bool:
        """Whether its map may be turned about an upright axis through (2,) float, m."""

    # What is overhead is also a unit square in which equal areas are equal areas. Round surfaces go
    # from the zenith down and about it: down is the share of the area above a point, round its
    # azimuth as a share of a turn. A ceiling goes from its far side to its near one and across.

    @abstractmethod
    def to_square(self, points: Floats) -> Floats:
        """Points (n, 3) of the surface on its square, each coordinate 0 to 1: (n, 2) float."""

    @abstractmethod
    def from_square(self, square: Floats) -> Floats:
        """The points (n, 3) of the surface at places (n, 2) of its square."""

    @abstractmethod
    def on_chart(self, square: Floats) -> Floats:
        """Places (n, 2) of the square on the surface's chart, m: across and up."""

    @abstractmethod
    def even_steps(self, side: float) -> Floats:
        """Where to cut the square's first side so that the parts are about `side` m wide."""

    @abstractmethod
    def sky(self) -> Sky:
        """The part of the sphere of directions that it fills from the middle of the floor."""


def bounded(rows: float, columns: float, texels: int) -> tuple[float, float]:
    """Rows and columns in the same ratio, so few that a chimney's walls find room in memory."""
    shrunk = min(1.0, math.sqrt(MOST * texels**2 / max(rows * columns, 1.0)))
    return rows * shrunk, columns * shrunk


def round_share(x: Floats, y: Floats) -> Floats:
    """Azimuths as shares of a turn, 0 to 1."""
    return np.mod(np.arctan2(y, x) / (2.0 * math.pi), 1.0)


def turned(out: Floats, rise: Floats, round_: Floats) -> Floats:
    """Points (n, 3) so far from the axis and so high, at azimuths as shares of a turn."""
    turn = 2.0 * math.pi * round_
    return np.column_stack([out * np.cos(turn), out * np.sin(turn), rise])


def ring(radius: float, height: float) -> Floats:
    """Corners of a level ring about the axis, anticlockwise from above: (AROUND, 3) float."""
    turns = 2.0 * math.pi * np.arange(AROUND) / AROUND
    return np.column_stack(
        [radius * np.cos(turns), radius * np.sin(turns), np.full(AROUND, height)]
    )


def band(upper: int, lower: int) -> NDArray[np.int64]:
    """Two triangles a part between the rings that begin at two corners, seen from the axis."""
    here = np.arange(AROUND)
    after = (here + 1) % AROUND
    first = np.column_stack([upper + here, upper + after, lower + after])
    second = np.column_stack([upper + here, lower + after, lower + here])
    return np.stack([first, second], axis=1).reshape(-1, 3)


def rounds(middle: Floats, rings: list[Floats], downwards: bool) -> Mesh:
    """A fan about a middle and bands from ring to ring, seen from below or from above."""
    here = np.arange(AROUND)
    after = (here + 1) % AROUND
    fan = np.column_stack([np.zeros(AROUND, np.int64), after + 1, here + 1])
    bands = [band(1 + AROUND * k, 1 + AROUND * (k + 1)) for k in range(len(rings) - 1)]
    triangles = np.concatenate([fan, *bands])
    corners = np.concatenate([middle[None], *rings])
    return Mesh(corners, triangles if downwards else triangles[:, ::-1])
