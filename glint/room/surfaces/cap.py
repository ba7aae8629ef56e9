"""A spherical cap, open below: a dome."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.surfaces.kinds import CAP
from glint.room.solid_angle_region import RoundSky
from glint.room.surface import Mesh, Surface, ring, round_share, rounds, turned

UPWARDS = 24
"""Rings of a mesh."""


@dataclass(frozen=True, kw_only=True)
class Cap(Surface):
    """centre: (3,) float, m, of the sphere, on the axis; radius: m, of the sphere; height: m, from
    its rim to its top."""

    kind: ClassVar[int] = CAP
    centre: Floats
    radius: float
    height: float

    @property
    def area(self) -> float:
        """As in Surface."""
        return 2.0 * math.pi * self.radius * self.height

    @property
    def top(self) -> float:
        """As in Surface."""
        return float(self.centre[2]) + self.radius

    def normals(self, points: Floats) -> Floats:
        """As in Surface."""
        away = points - self.centre
        return -away / np.linalg.norm(away, axis=1, keepdims=True)

    @property
    def reach(self) -> float:
        """Radius of the rim in the chart, m.

        Lambert's azimuthal equal-area projection puts what lies at an angle c from the zenith at
        2 R sin(c / 2) from the middle (Snyder 1987, USGS PP 1395, equation 24-1).
        """
        return math.sqrt(2.0 * self.radius * self.height)

    def size(self, texels: int) -> tuple[int, int]:
        """As in Surface."""
        return texels, texels

    def place(self, texels: int) -> Floats:
        """As in Surface."""
        step = 2.0 * self.reach / texels
        first = self.reach - step / 2.0
        return np.array([first, -step, first, -step])

    @property
    def form(self) -> Floats:
        """As in Surface."""
        form = np.zeros(11)
        form[:5] = *self.centre, self.radius, self.reach
        form[5] = self.centre[2] + self.radius - self.height
        return form

    def clearance(self, place: Floats) -> float:
        """As in Surface."""
        x, y, z = (float(value) for value in np.asarray(place, float) - self.centre)
        away = math.sqrt(x * x + y * y + z * z)
        rim = self.radius - self.height
        beside = away > 0.0 and z * self.radius < rim * away
        return math.inf if beside and z < rim else self.radius - away

    def furthest(self, place: Floats) -> float:
        """As in Surface."""
        away = np.asarray(place, float) - self.centre
        level, z = math.hypot(away[0], away[1]), float(away[2])
        rim = self.radius - self.height
        distance = math.hypot(level, z)
        if -z * self.radius >= rim * distance:
            return distance + self.radius
        return math.hypot(level + math.sqrt(self.radius**2 - rim**2), z - rim)

    def mesh(self) -> Mesh:
        """Rings at even steps of the angle from the zenith; else as in Surface."""
        lowest = math.acos(1.0 - self.height / self.radius)
        angles = lowest * np.arange(1, UPWARDS + 1) / UPWARDS
        rings = [
            self.centre + ring(self.radius * math.sin(a), self.radius * math.cos(a)) for a in angles
        ]
        top = self.centre + np.array([0.0, 0.0, self.radius])
        return rounds(top, rings, downwards=True)

    def turns_about(self, axis: Floats) -> bool:
        """As in Surface."""
        return bool(np.abs(self.centre[:2] - axis).max() < 1e-9)

    def to_square(self, points: Floats) -> Floats:
        """An equal share of a cap's height is an equal share of its area (Archimedes)."""
        away = points - self.centre
        round_ = round_share(away[:, 0], away[:, 1])
        down = (self.radius - away[:, 2]) / self.height
        return np.clip(np.column_stack([down, round_]), 0.0, 1.0)

    def from_square(self, square: Floats) -> Floats:
        """As in Surface."""
        down, round_ = square.T
        rise = self.radius - down * self.height
        out = np.sqrt(np.maximum(self.radius**2 - rise**2, 0.0))
        return self.centre + turned(out, rise, round_)

    def on_chart(self, square: Floats) -> Floats:
        """As in Surface."""
        down, round_ = square.T
        return turned(self.reach * np.sqrt(down), down, round_)[:, :2]

    def even_steps(self, side: float) -> Floats:
        """As in Surface."""
        edge = math.acos(1.0 - self.height / self.radius)
        levels = np.linspace(0.0, edge, max(round(edge * self.radius / side), 1) + 1)
        return (1.0 - np.cos(levels)) / (1.0 - math.cos(edge))

    def sky(self) -> RoundSky:
        """As in Surface."""
        drop = self.height - self.radius
        out = math.sqrt(max(self.radius**2 - drop**2, 0.0))
        return RoundSky(math.atan2(out, self.centre[2] - drop))
