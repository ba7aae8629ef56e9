"""Measured candela in type C photometry, and what follows from them: symmetry, lumens, tilt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Photometry:
    """Candela at angles from an axis, and round it, linear in between.

    edition: year of the edition of LM-63 that the file follows
    vertical_angles: (v,) float, degrees from the axis, from 0 up; no light beyond the last
    horizontal_angles: (h,) float, degrees round the axis, anticlockwise for one who looks along
    it; the last tells the symmetry: 0, a round beam; 90, the same in each quadrant; 180, mirrored
    in the plane of 0 and 180; 270 (from 90), mirrored in that of 90 and 270; else none
    candela: (h, v) float, cd, with all factors of the file in it
    rated_lumens: lm, of the bare light sources together; None where photometry is absolute
    watts: W, taken from the mains
    tilt_angles, tilt_factors: (t,) float, share of the light when the axis is turned up from
    straight down by so many degrees; empty if the light does not depend on it
    """

    edition: int
    vertical_angles: Floats
    horizontal_angles: Floats
    candela: Floats
    rated_lumens: float | None
    watts: float
    tilt_angles: Floats
    tilt_factors: Floats

    def candela_at(self, vertical: ArrayLike, horizontal: ArrayLike) -> Floats:
        """Candela (h, v) float at horizontal (h,) and vertical (v,) angles, degrees, all pairs."""
        wanted = np.atleast_1d(np.asarray(vertical, float))
        rows = [np.interp(wanted, self.vertical_angles, row, right=0.0) for row in self.candela]
        angles, table = self._whole_turn(np.array(rows))
        place = np.interp(self.folded(horizontal), angles, np.arange(angles.size))
        row = np.minimum(place.astype(int), angles.size - 1)
        after = np.minimum(row + 1, angles.size - 1)
        part = (place - row)[:, None]
        return (1.0 - part) * table[row] + part * table[after]

    def folded(self, horizontal: ArrayLike) -> Floats:
        """Horizontal angles (h,), degrees, brought by symmetry to where they were measured."""
        angle = np.mod(np.atleast_1d(np.asarray(horizontal, float)), 360.0)
        first, last = self.horizontal_angles[[0, -1]]
        if first == last:
            return np.full_like(angle, first)
        if first == 90.0:
            from_ninety = np.mod(angle - 90.0, 360.0)
            return 90.0 + np.minimum(from_ninety, 360.0 - from_ninety)
        if last == 90.0:
            angle = np.mod(angle, 180.0)
            return np.minimum(angle, 180.0 - angle)
        return np.minimum(angle, 360.0 - angle) if last == 180.0 else angle

    def lumens(self, low: float = 0.0, high: float = 180.0) -> float:
        """Lumens between two angles from the axis, degrees.

        Between measured angles I = a + b gamma, and the integral of that times sin(gamma) is
        b sin(gamma) - (a + b gamma) cos(gamma).
        """
        edges = np.unique(np.clip(np.append(self.vertical_angles, [low, high]), low, high))
        edges = edges[edges <= self.vertical_angles[-1]]
        angles, table = self._whole_turn(
            np.array([np.interp(edges, self.vertical_angles, row) for row in self.candela])
        )
        mean = table[0]
        if angles.size > 1:
            shares = np.diff(angles) / (angles[-1] - angles[0])
            mean = shares @ (0.5 * (table[:-1] + table[1:]))
        gamma = np.radians(edges)
        slope = np.diff(mean) / np.diff(gamma)
        rise = slope * np.diff(np.sin(gamma))
        fall = mean[:-1] * np.cos(gamma[:-1]) - mean[1:] * np.cos(gamma[1:])
        return float(2.0 * np.pi * np.sum(rise + fall))

    def tilt_factor(self, angle: float) -> float:
        """Share of the light when the axis is an angle, degrees, from straight down."""
        if not self.tilt_angles.size:
            return 1.0
        return float(np.interp(angle, self.tilt_angles, self.tilt_factors))

    def _whole_turn(self, table: Floats) -> tuple[Floats, Floats]:
        """Horizontal angles and the rows (h, k) of a table there; closed, if it goes all round."""
        angles = self.horizontal_angles
        all_round = 180.0 < angles[-1] < 360.0 and angles[0] == 0.0
        if not all_round:
            return angles, table
        return np.append(angles, 360.0), np.concatenate([table, table[:1]])
