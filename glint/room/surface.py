"""One surface of the room, and the chart that maps it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EAST = np.array([1.0, 0.0, 0.0])
NORTH = np.array([0.0, 1.0, 0.0])

MOST = 8
"""Most texels of a map, in squares of the width of the middle surface's."""


def _bounded(rows: float, columns: float, texels: int) -> tuple[float, float]:
    """Rows and columns in the same ratio, so few that a chimney's walls find room in memory."""
    shrunk = min(1.0, math.sqrt(MOST * texels**2 / max(rows * columns, 1.0)))
    return rows * shrunk, columns * shrunk


@dataclass(frozen=True)
class Surface:
    """A part of a sphere, disc, cylinder, cone or a rectangle, seen from inside the room.

    kind: "cap", "disc", "cylinder", "cone" or "flat"
    centre: (3,) float, m: of the sphere, of the disc, of the cylinder's lower rim, the cone's
        tip, or the middle of the rectangle
    radius: float, m: of the sphere or the cylinder; of the disc's or cone's rim; half of the
        rectangle's width
    height: float, m: the cylinder's or the rectangle's; the rise of a cap or cone
    reflectance: (3,) float, linear RGB, diffuse
    open: share of the surface that carries nothing: light that falls there leaves
    across, up: (3,) float, unit: the rectangle's sides as seen from the room
    span: float, m: what `texels` texels share out on a rectangle
    """

    name: str
    kind: str
    centre: Floats
    radius: float
    height: float
    reflectance: Floats
    open: float = 0.0
    across: Floats | None = None
    up: Floats | None = None
    span: float = 0.0

    @property
    def area(self) -> float:
        """Area, m**2."""
        if self.kind == "disc":
            return math.pi * self.radius**2
        if self.kind == "cone":
            return math.pi * self.radius * math.hypot(self.radius, self.height)
        if self.kind == "flat":
            return 2.0 * self.radius * self.height
        return 2.0 * math.pi * self.radius * self.height

    @property
    def mean_reflectance(self) -> Floats:
        """What an even light gets back from it: (3,) float."""
        return (1.0 - self.open) * self.reflectance

    @property
    def normal(self) -> Floats:
        """Of a disc or a rectangle, towards the room: (3,) float, unit."""
        if self.across is None or self.up is None:
            return np.array([0.0, 0.0, 1.0])
        return np.cross(self.across, self.up)

    def normals(self, points: Floats) -> Floats:
        """Unit normals towards the room at points (n, 3) of the surface: (n, 3) float."""
        if self.kind in ("disc", "flat"):
            return np.tile(self.normal, (len(points), 1))
        away = points - self.centre
        if self.kind == "cap":
            return -away / np.linalg.norm(away, axis=1, keepdims=True)
        level = away * [1.0, 1.0, 0.0]
        out = np.linalg.norm(level, axis=1, keepdims=True)
        inward = -level / np.maximum(out, 1e-300)
        if self.kind == "cylinder":
            return inward
        slant = np.hypot(self.radius, self.height)
        down = np.array([0.0, 0.0, -1.0])
        sloping = (self.height * inward + self.radius * down) / slant
        # The tip faces no side more than another.
        return np.where(out > 0.0, sloping, down)

    @property
    def reach(self) -> float:
        """Radius of the rim in the chart, m.

        Lambert's azimuthal equal-area projection puts what lies at an angle c from the zenith at
        2 R sin(c / 2) from the middle (Snyder 1987, USGS PP 1395, equation 24-1). A cone is drawn
        the same way, about its tip, with no slit: its area pi R L as that of a disc.
        """
        if self.kind == "cap":
            return math.sqrt(2.0 * self.radius * self.height)
        if self.kind == "cone":
            return math.sqrt(self.radius * math.hypot(self.radius, self.height))
        return self.radius

    def size(self, texels: int) -> tuple[int, int]:
        """Rows and columns of a map whose middle surface is `texels` wide."""
        if self.kind == "flat":
            step = self.span / texels
            # Even numbers, as movies want them.
            rows, columns = _bounded(self.height / step, 2.0 * self.radius / step, texels)
            return 2 * max(round(rows / 2.0), 1), 2 * max(round(columns / 2.0), 1)
        if self.kind != "cylinder":
            return texels, texels
        step = math.pi * self.radius / texels
        rows, columns = _bounded(self.height / step, 2.0 * texels, texels)
        return max(round(rows), 1), max(round(columns), 1)

    def place(self, texels: int) -> Floats:
        """First texel's centre and step, across the columns and down the rows: (4,) float.

        Caps, cones and ceilings are seen lying on one's back, +y up and so +x to the left; a floor
        from above, +y up and +x to the right; a wall from inside, up as it is, azimuth falling to
        the right.
        """
        rows, columns = self.size(texels)
        if self.kind == "cylinder":
            across, down = -2.0 * math.pi / columns, -self.height / rows
            return np.array([math.pi + across / 2.0, across, self.height + down / 2.0, down])
        if self.kind == "flat":
            across, down = 2.0 * self.radius / columns, -self.height / rows
            left, top = -self.radius, self.height / 2.0
            return np.array([left + across / 2.0, across, top + down / 2.0, down])
        step = 2.0 * self.reach / texels
        first = self.reach - step / 2.0
        if self.kind in ("cap", "cone"):
            return np.array([first, -step, first, -step])
        return np.array([-first, step, first, -step])

    @property
    def form(self) -> Floats:
        """Centre, radius, reach or height, and what else the kind needs: (11,) float, as the
        kernels take them (see `glint.kernels.surfaces.equal_area.Chart`)."""
        form = np.zeros(11)
        form[:4] = *self.centre, self.radius
        form[4] = self.height if self.kind == "cylinder" else self.reach
        if self.kind == "cap":
            form[5] = self.centre[2] + self.radius - self.height
        elif self.kind == "cone":
            form[5] = self.height
        elif self.kind == "flat":
            form[4] = self.height / 2.0
            form[5:8], form[8:11] = self.across, self.up
        return form

    def clearance(self, place: Floats) -> float:
        """Distance of a point from the surface and on, m; below zero behind it. Infinite where
        another surface is nearer for certain."""
        x, y, z = (float(value) for value in np.asarray(place, float) - self.centre)
        if self.kind in ("disc", "flat"):
            return float(np.dot([x, y, z], self.normal))
        if self.kind == "cylinder":
            return self.radius - math.hypot(x, y)
        if self.kind == "cone":
            slant = math.hypot(self.radius, self.height)
            return (-z * self.radius - math.hypot(x, y) * self.height) / slant
        away = math.sqrt(x * x + y * y + z * z)
        rim = self.radius - self.height
        beside = away > 0.0 and z * self.radius < rim * away
        return math.inf if beside and z < rim else self.radius - away

    def furthest(self, place: Floats) -> float:
        """Distance of a point inside the room from the furthest of the surface, m."""
        away = np.asarray(place, float) - self.centre
        if self.across is not None and self.up is not None:
            beside = abs(float(np.dot(away, self.across))) + self.radius
            along = abs(float(np.dot(away, self.up))) + self.height / 2.0
            return math.hypot(beside, along, float(np.dot(away, self.normal)))
        level, z = math.hypot(away[0], away[1]), float(away[2])
        if self.kind == "cap":
            rim = self.radius - self.height
            distance = math.hypot(level, z)
            if -z * self.radius >= rim * distance:
                return distance + self.radius
            return math.hypot(level + math.sqrt(self.radius**2 - rim**2), z - rim)
        heights = {"disc": (0.0,), "cylinder": (0.0, self.height), "cone": (-self.height,)}
        rims = max(math.hypot(level + self.radius, z - rim) for rim in heights[self.kind])
        return max(rims, math.hypot(level, z)) if self.kind == "cone" else rims
