"""Charts: equal-area maps from a rectangle of texels to points of a surface."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.runtime.jit import contracted, kernel
from glint.kernels.surfaces import cap, rectangle, revolution
from glint.kernels.surfaces.kinds import CAP, REVOLUTION

LEAF = 8
"""Texels along the side of a block that is lit or skipped as a whole."""


class Chart(NamedTuple):
    """One surface at one resolution.

    kind: CAP, REVOLUTION or RECTANGLE
    size: (2,) int, rows and columns
    place: (4,) float, first texel's centre and step: across (columns), then up (rows)
    form: (11,) float: a point (3), a radius or half width, a reach or half height, m, and what else
        the kind needs; see the file of the kind, `cap`, `revolution` or `rectangle`
    """

    kind: int
    size: np.ndarray
    place: Floats
    form: Floats

    def rows(self, first: int, last: int) -> Chart:
        """The chart of some rows alone, the last not among them."""
        place = self.place.copy()
        place[2] += first * place[3]
        return self._replace(size=np.array([last - first, self.size[1]]), place=place)

    @property
    def texel_area(self) -> float:
        """Area of a texel, m**2, the same everywhere."""
        area = abs(float(self.place[1] * self.place[3]))
        return area * float(self.form[3]) if self.is_wall else area

    @property
    def is_wall(self) -> bool:
        """Whether the chart is a strip of azimuth and height that closes upon itself."""
        return self.kind == REVOLUTION and bool(self.form[6] == self.form[3])


@kernel
def point(kind, form, across, up):
    """Point and unit normal (towards the room) of a chart position.

    Returns (inside, x, y, z, nx, ny, nz).
    """
    if kind == CAP:
        return cap.point(form, across, up)
    if kind == REVOLUTION:
        return revolution.point(form, across, up)
    return rectangle.point(form, across, up)


_AT = np.arange(LEAF + 1.0)

ACROSS = np.concatenate([np.tile(_AT[:-1], LEAF), np.tile(_AT - 0.5, LEAF + 1)])
"""Points of a leaf, in texels from its first texel's middle: texels' middles, then corners."""

UP = np.concatenate([np.repeat(_AT[:-1], LEAF), np.repeat(_AT - 0.5, LEAF + 1)])


@contracted
def _cap_points(form, left, across, top, up, x, y, z, nx, ny, nz):
    """`point` for the points of a leaf of a CAP, without a branch: many are done at once."""
    radius = form[3]
    cx, cy, cz = form[0], form[1], form[2]
    curve, whole = 1.0 / (4.0 * radius * radius), 1.0 / radius
    for t in range(ACROSS.size):
        u, v = left + ACROSS[t] * across, top + UP[t] * up
        square = u * u + v * v
        part = 1.0 - square * curve
        shrink = math.sqrt(part if part > 0.0 else 0.0)
        dx, dy, dz = u * shrink, v * shrink, radius - 0.5 * square * whole
        x[t], y[t], z[t] = cx + dx, cy + dy, cz + dz
        nx[t], ny[t], nz[t] = -dx * whole, -dy * whole, -dz * whole


@kernel
def leaf_points(kind, form, place, row, column, points):
    """The middles of a leaf's texels, then their corners; row, column: its first texel.

    points: (7, LEAF**2 + (LEAF + 1)**2) float, rows 0 to 2 and 4 to 6 are written: points, normals.
    """
    left, top = place[0] + column * place[1], place[2] + row * place[3]
    if kind == CAP:
        _cap_points(
            form,
            left,
            place[1],
            top,
            place[3],
            points[0],
            points[1],
            points[2],
            points[4],
            points[5],
            points[6],
        )
        return
    for t in range(ACROSS.size):
        _, x, y, z, nx, ny, nz = point(
            kind, form, left + ACROSS[t] * place[1], top + UP[t] * place[3]
        )
        points[0, t], points[1, t], points[2, t] = x, y, z
        points[4, t], points[5, t], points[6, t] = nx, ny, nz


@kernel
def points(kind, size, place, form):
    """Every texel centre: (inside (h, w) bool, points (h, w, 3) float, m)."""
    inside = np.zeros((size[0], size[1]), np.bool_)
    found = np.zeros((size[0], size[1], 3))
    for row in range(size[0]):
        for column in range(size[1]):
            on, x, y, z, _, _, _ = point(
                kind, form, place[0] + column * place[1], place[2] + row * place[3]
            )
            inside[row, column] = on
            found[row, column, 0] = x
            found[row, column, 1] = y
            found[row, column, 2] = z
    return inside, found
