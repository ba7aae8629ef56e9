"""A straight line turned about the upright axis: wall, floor, cone, frustum, flat crown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.surfaces.kinds import REVOLUTION
from glint.room.solid_angle_region import RoundSky
from glint.room.surface import Mesh, Surface, band, bounded, ring, round_share, rounds, turned

FEWEST = 24
"""Texels across a crown that shares its texels with its roof."""


@dataclass(frozen=True, kw_only=True)
class Revolution(Surface):
    """The line from (r0, z0) to (r1, z1), m from the axis and m high, turned about the axis.

    Going along it, the room is on the left: outwards for a floor, up for a wall, up and inwards for
    a roof, inwards for a crown. span: m, the reach whose texels a crown shares, its roof's, so that
    both make one map together; 0 for its own.
    """

    kind: ClassVar[int] = REVOLUTION
    r0: float
    z0: float
    r1: float
    z1: float
    span: float = 0.0

    def __post_init__(self) -> None:
        away, rise = self.r1 - self.r0, self.z1 - self.z0
        if min(self.r0, self.r1) < 0.0 or rise < 0.0 or (away > 0.0 and rise > 0.0):
            raise ValueError("a line outwards and level, straight up, or inwards, up or level")
        if (away == 0.0 and (rise == 0.0 or self.r0 == 0.0)) or (rise == 0.0 and self._inner):
            raise ValueError("a line of some length, to the axis if it is level")

    @property
    def _radius(self) -> float:
        return max(self.r0, self.r1)

    @property
    def _inner(self) -> float:
        return min(self.r0, self.r1)

    @property
    def _rise(self) -> float:
        return self.z1 - self.z0

    @property
    def is_wall(self) -> bool:
        """Whether it stands upright."""
        return self.r0 == self.r1

    @property
    def _drop(self) -> float:
        """From the tip, cut off or not, to the outer rim, m."""
        if self.is_wall or self._rise == 0.0:
            return 0.0
        return self._rise if self.r1 == 0.0 else self._rise * self.r0 / (self.r0 - self.r1)

    @property
    def _tip(self) -> float:
        return self.z1 if self.r1 == 0.0 else self.z0 + self._drop

    @property
    def _slant(self) -> float:
        """Length from the tip to the outer rim, m."""
        return math.hypot(self._radius, self._drop)

    @property
    def area(self) -> float:
        """As in Surface."""
        if self.is_wall:
            return 2.0 * math.pi * self.r0 * self._rise
        if self._rise == 0.0:
            return math.pi * self._radius**2
        if self.r1 == 0.0:
            return math.pi * self.r0 * self._slant
        return math.pi * (self.r0 + self.r1) * math.hypot(self.r0 - self.r1, self._rise)

    @property
    def top(self) -> float:
        """As in Surface."""
        return self.z1

    def normals(self, points: Floats) -> Floats:
        """As in Surface."""
        if self._rise == 0.0:
            return np.tile([0.0, 0.0, 1.0 if self.r1 > self.r0 else -1.0], (len(points), 1))
        level = points * [1.0, 1.0, 0.0]
        out = np.linalg.norm(level, axis=1, keepdims=True)
        inward = -level / np.maximum(out, 1e-300)
        if self.is_wall:
            return inward
        down = np.array([0.0, 0.0, -1.0])
        sloping = (self._drop * inward + self._radius * down) / self._slant
        # The tip faces no side more than another.
        return np.where(out > 0.0, sloping, down)

    @property
    def reach(self) -> float:
        """Radius of the outer rim in the chart, m; see `glint.kernels.surfaces.revolution`."""
        if self._rise == 0.0:
            return self._radius
        if self._inner == 0.0:
            return math.sqrt(self._radius * self._slant)
        inner = self._inner**2
        return math.sqrt(inner + (self._radius**2 - inner) * self._slant / self._radius)

    def _lattice(self, texels: int) -> tuple[int, float]:
        """Texels across the chart, and their side, m."""
        if not self.span:
            return texels, 2.0 * self.reach / texels
        step = 2.0 * self.span / texels
        # Odd or even like the roof's, so that its texels lie on the roof's; of few, each is parted.
        most = 2 * math.ceil((self.reach / step - texels % 2 / 2.0) - 1e-9) + texels % 2
        most = max(most, 1 + (texels + 1) % 2)
        parts = math.ceil(FEWEST / most)
        return most * parts, step / parts

    def size(self, texels: int) -> tuple[int, int]:
        """As in Surface."""
        if not self.is_wall:
            across, _ = self._lattice(texels)
            return across, across
        step = math.pi * self.r0 / texels
        rows, columns = bounded(self._rise / step, 2.0 * texels, texels)
        return max(round(rows), 1), max(round(columns), 1)

    def place(self, texels: int) -> Floats:
        """As in Surface."""
        if self.is_wall:
            rows, columns = self.size(texels)
            across, down = -2.0 * math.pi / columns, -self._rise / rows
            return np.array([math.pi + across / 2.0, across, self._rise + down / 2.0, down])
        number, step = self._lattice(texels)
        first = (self.reach if not self.span else number * step / 2.0) - step / 2.0
        if self.r1 > self.r0:
            return np.array([-first, step, first, -step])
        return np.array([first, -step, first, -step])

    @property
    def form(self) -> Floats:
        """As in Surface."""
        form = np.zeros(11)
        form[3], form[5], form[6] = self._radius, self._drop, self._inner
        if self.is_wall:
            form[2], form[4] = self.z0, self._rise
            return form
        form[2], form[4] = self._tip if self._rise else self.z0, self.reach
        form[7] = self._drop - self._rise if self._inner else 0.0
        form[8] = 1.0 if self.r1 > self.r0 else -1.0
        return form

    def clearance(self, place: Floats) -> float:
        """As in Surface."""
        x, y, z = (float(value) for value in np.asarray(place, float))
        if self._rise == 0.0:
            return z - self.z0 if self.r1 > self.r0 else self.z0 - z
        if self.is_wall:
            return self.r0 - math.hypot(x, y)
        z -= self._tip
        return (-z * self._radius - math.hypot(x, y) * self._drop) / self._slant

    def furthest(self, place: Floats) -> float:
        """As in Surface."""
        x, y, z = (float(value) for value in np.asarray(place, float))
        level = math.hypot(x, y)
        ends = ((self.r0, self.z0), (self.r1, self.z1))
        return max(math.hypot(level + r, z - rim) for r, rim in ends)

    def mesh(self) -> Mesh:
        """As in Surface."""
        inner = self.z1 if self.r1 < self.r0 else self.z0
        if self._inner == 0.0:
            outer = self.z0 if self.r1 < self.r0 else self.z1
            rim = ring(self._radius, outer)
            return rounds(np.array([0.0, 0.0, inner]), [rim], downwards=self.r1 < self.r0)
        rims = [ring(self.r1, self.z1), ring(self.r0, self.z0)]
        return Mesh(np.concatenate(rims), band(0, len(rims[0])))

    def turns_about(self, axis: Floats) -> bool:
        """As in Surface. A map that is read off turned would fade at the rim of a hole."""
        return bool(np.abs(axis).max() < 1e-9) and (self.is_wall or not self._inner)

    def to_square(self, points: Floats) -> Floats:
        """A cone's area grows with the square of the distance from its tip."""
        x, y, z = points.T
        if self.is_wall:
            down = (self.z1 - z) / self._rise
        elif self._rise and not self._inner:
            down = ((z - self._tip) / self._drop) ** 2
        else:
            inner = self._inner**2
            down = (x * x + y * y - inner) / (self._radius**2 - inner)
        return np.clip(np.column_stack([down, round_share(x, y)]), 0.0, 1.0)

    def from_square(self, square: Floats) -> Floats:
        """As in Surface."""
        down, round_ = square.T
        if self.is_wall:
            return turned(np.full(len(down), self.r0), self.z1 - down * self._rise, round_)
        if not self._inner:
            out = np.sqrt(down) * self._radius
            return turned(out, self.form[2] + -np.sqrt(down) * self._drop, round_)
        inner = self._inner**2
        out = np.sqrt(inner + down * (self._radius**2 - inner))
        return turned(out, self._tip - self._drop * out / self._radius, round_)

    def on_chart(self, square: Floats) -> Floats:
        """As in Surface."""
        down, round_ = square.T
        if self.is_wall:
            return np.column_stack([2.0 * math.pi * round_, (1.0 - down) * self._rise])
        if not self._inner:
            out = self.reach * np.sqrt(down)
        else:
            out = np.sqrt(self._inner**2 + down * (self.reach**2 - self._inner**2))
        return turned(out, down, round_)[:, :2]

    def even_steps(self, side: float) -> Floats:
        """As in Surface."""
        if self.is_wall:
            return np.linspace(0.0, 1.0, max(round(self._rise / side), 1) + 1)
        if not self._inner:
            return np.linspace(0.0, 1.0, max(round(self._slant / side), 1) + 1) ** 2
        parts = max(round(math.hypot(self.r0 - self.r1, self._rise) / side), 1)
        out = np.linspace(self.r1, self.r0, parts + 1)
        return (out**2 - self.r1**2) / (self.r0**2 - self.r1**2)

    def sky(self) -> RoundSky:
        """As in Surface; whole, as if what is above its inner rim belonged to it."""
        outer = self.z0 if self.r1 <= self.r0 else self.z1
        return RoundSky(math.atan2(self._radius, outer))
