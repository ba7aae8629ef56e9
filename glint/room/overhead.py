"""What is overhead as one whole: a cap, a ceiling, or a roof and the crown in its middle.

Its square and its chart are those of its one surface, or of rings about the axis that follow each
other outwards: down is then the share of the whole area that lies within, and the chart an
azimuthal one in which that holds too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.kernels.arrays import Floats, Integers
from glint.room.solid_angle_region import Sky
from glint.room.surface import Surface, turned
from glint.room.surfaces.revolution import Revolution


@dataclass(frozen=True)
class Overhead:
    """parts: the surfaces overhead, the outermost first."""

    parts: tuple[Surface, ...]

    @property
    def outer(self) -> Surface:
        """The outermost part, on whose chart the whole is drawn."""
        return self.parts[0]

    @property
    def names(self) -> tuple[str, ...]:
        """Of its parts."""
        return tuple(part.name for part in self.parts)

    @property
    def area(self) -> float:
        """Area, m**2."""
        return sum(part.area for part in self.parts)

    @property
    def closed_area(self) -> float:
        """Area that carries something, m**2; the whole where nothing does."""
        return sum((1.0 - part.open) * part.area for part in self.parts) or self.area

    @cached_property
    def _rings(self) -> tuple[Revolution, ...]:
        """The parts from the axis outwards."""
        return tuple(part for part in reversed(self.parts) if isinstance(part, Revolution))

    @cached_property
    def _within(self) -> Floats:
        """Shares of the area within each ring's inner rim, and 1."""
        return np.cumsum([0.0, *(ring.area for ring in self._rings)]) / self.area

    def parts_of(self, points: Floats) -> Integers:
        """Which part each of points (n, 3) lies on: (n,) int, its place in `parts`."""
        if len(self.parts) == 1:
            return np.zeros(len(points), np.int64)
        rims = [ring.r0 for ring in self._rings[:-1]]
        from_axis = np.searchsorted(rims, np.hypot(points[:, 0], points[:, 1]), side="right")
        return len(self.parts) - 1 - from_axis

    def normals(self, points: Floats) -> Floats:
        """Unit normals towards the room at points (n, 3): (n, 3) float."""
        if len(self.parts) == 1:
            return self.outer.normals(points)
        return self._each(points, self.parts_of(points), lambda part, some: part.normals(some))

    def to_square(self, points: Floats) -> Floats:
        """Points (n, 3) on the square: (n, 2) float; see `Surface.to_square`."""
        if len(self.parts) == 1:
            return self.outer.to_square(points)
        which = self.parts_of(points)
        square = self._each(points, which, lambda part, some: part.to_square(some))
        inside = len(self.parts) - 1 - which
        share = np.diff(self._within)[inside]
        return np.column_stack([self._within[inside] + share * square[:, 0], square[:, 1]])

    def from_square(self, square: Floats) -> Floats:
        """The points (n, 3) at places (n, 2) of the square."""
        if len(self.parts) == 1:
            return self.outer.from_square(square)
        inside = np.searchsorted(self._within[1:-1], square[:, 0], side="right")
        down = (square[:, 0] - self._within[inside]) / np.diff(self._within)[inside]
        own = np.column_stack([down, square[:, 1]])
        which = len(self.parts) - 1 - inside
        return self._each(own, which, lambda part, some: part.from_square(some))

    def on_chart(self, square: Floats) -> Floats:
        """Places (n, 2) of the square on the chart of the whole, m: across and up."""
        if len(self.parts) == 1:
            return self.outer.on_chart(square)
        out = math.sqrt(self.area / math.pi) * np.sqrt(square[:, 0])
        return turned(out, out, square[:, 1])[:, :2]

    def even_steps(self, side: float) -> Floats:
        """Where to cut the square's first side so that the parts are about `side` m wide."""
        if len(self.parts) == 1:
            return self.outer.even_steps(side)
        steps = [np.zeros(1)]
        for ring, first, last in zip(self._rings, self._within, self._within[1:], strict=False):
            steps.append(first + (last - first) * ring.even_steps(side)[1:])
        return np.concatenate(steps)

    def sky(self) -> Sky:
        """The part of the sphere of directions that it fills from the middle of the floor."""
        return self.outer.sky()

    def _each(self, rows: Floats, which: Integers, of) -> Floats:
        """What a function of a part and its rows gives, for all rows."""
        found = np.empty((len(rows), 0))
        for number, part in enumerate(self.parts):
            mine = which == number
            some = of(part, rows[mine])
            if not found.shape[1]:
                found = np.empty((len(rows), some.shape[1]))
            found[mine] = some
        return found
