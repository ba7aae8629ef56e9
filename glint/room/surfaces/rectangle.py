"""A rectangle: a hall's walls, ceiling and floor."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.surfaces.kinds import RECTANGLE
from glint.room.solid_angle_region import CorneredSky
from glint.room.surface import Mesh, Surface, bounded

SIGNS = ((-1, -1), (1, -1), (1, 1), (-1, 1))
"""Its corners in order, as seen from the room."""


@dataclass(frozen=True, kw_only=True)
class Rectangle(Surface):
    """centre: (3,) float, m; width, height: m, along its sides across and up, (3,) float, unit, as
    seen from the room; span: m, what `texels` texels share out."""

    kind: ClassVar[int] = RECTANGLE
    centre: Floats
    width: float
    height: float
    across: Floats
    up: Floats
    span: float

    @property
    def area(self) -> float:
        """As in Surface."""
        return self.width * self.height

    @property
    def top(self) -> float:
        """As in Surface."""
        return float(self._corners()[:, 2].max())

    @property
    def normal(self) -> Floats:
        """Towards the room: (3,) float, unit."""
        return np.cross(self.across, self.up)

    def normals(self, points: Floats) -> Floats:
        """As in Surface."""
        return np.tile(self.normal, (len(points), 1))

    def size(self, texels: int) -> tuple[int, int]:
        """As in Surface."""
        step = self.span / texels
        # Even numbers, as movies want them.
        rows, columns = bounded(self.height / step, self.width / step, texels)
        return 2 * max(round(rows / 2.0), 1), 2 * max(round(columns / 2.0), 1)

    def place(self, texels: int) -> Floats:
        """As in Surface."""
        rows, columns = self.size(texels)
        across, down = self.width / columns, -self.height / rows
        left, top = -self.width / 2.0, self.height / 2.0
        return np.array([left + across / 2.0, across, top + down / 2.0, down])

    @property
    def form(self) -> Floats:
        """As in Surface."""
        middle = [*self.centre, self.width / 2.0, self.height / 2.0]
        return np.array([*middle, *self.across, *self.up], float)

    def clearance(self, place: Floats) -> float:
        """As in Surface."""
        x, y, z = (float(value) for value in np.asarray(place, float) - self.centre)
        return float(np.dot([x, y, z], self.normal))

    def furthest(self, place: Floats) -> float:
        """As in Surface."""
        away = np.asarray(place, float) - self.centre
        beside = abs(float(np.dot(away, self.across))) + self.width / 2.0
        along = abs(float(np.dot(away, self.up))) + self.height / 2.0
        return math.hypot(beside, along, float(np.dot(away, self.normal)))

    def mesh(self) -> Mesh:
        """As in Surface."""
        return Mesh(self._corners(), np.array([[0, 1, 2], [0, 2, 3]]))

    def _corners(self) -> Floats:
        across, up = self.width / 2.0 * self.across, self.height / 2.0 * self.up
        return np.array([self.centre + a * across + b * up for a, b in SIGNS])

    def turns_about(self, axis: Floats) -> bool:
        """As in Surface."""
        return False

    def to_square(self, points: Floats) -> Floats:
        """As in Surface."""
        away = points - self.centre
        down = 0.5 - away @ self.up / self.height
        round_ = 0.5 + away @ self.across / self.width
        return np.clip(np.column_stack([down, round_]), 0.0, 1.0)

    def from_square(self, square: Floats) -> Floats:
        """As in Surface."""
        across, up = self.on_chart(square).T
        return self.centre + up[:, None] * self.up + across[:, None] * self.across

    def on_chart(self, square: Floats) -> Floats:
        """As in Surface."""
        down, round_ = square.T
        across = (2.0 * round_ - 1.0) * (self.width / 2.0)
        return np.column_stack([across, (0.5 - down) * self.height])

    def even_steps(self, side: float) -> Floats:
        """As in Surface."""
        return np.linspace(0.0, 1.0, max(round(self.height / side), 1) + 1)

    def sky(self) -> CorneredSky:
        """As in Surface."""
        corners = self._corners()
        return CorneredSky(corners / np.linalg.norm(corners, axis=1, keepdims=True))
