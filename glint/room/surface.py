"""One surface of the room, and the chart that maps it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Surface:
    """A cap of a sphere, a level disc or an upright cylinder, seen from inside the room.

    kind: "cap", "disc" or "cylinder"
    centre: (3,) float, m: of the sphere, of the disc, or of the cylinder's lower rim
    radius: float, m: of the sphere or the cylinder; of the disc's rim
    height: float, m: a cylinder's; the rise of a cap
    reflectance: (3,) float, linear RGB, diffuse
    """

    name: str
    kind: str
    centre: Floats
    radius: float
    height: float
    reflectance: Floats

    @property
    def area(self) -> float:
        """Area, m**2."""
        if self.kind == "cap":
            return 2.0 * math.pi * self.radius * self.height
        if self.kind == "disc":
            return math.pi * self.radius**2
        return 2.0 * math.pi * self.radius * self.height

    @property
    def reach(self) -> float:
        """Radius of the rim in the chart, m.

        Lambert's azimuthal equal-area projection puts what lies at an angle c from the zenith at
        2 R sin(c / 2) from the middle (Snyder 1987, USGS PP 1395, equation 24-1).
        """
        return math.sqrt(2.0 * self.radius * self.height) if self.kind == "cap" else self.radius

    def size(self, texels: int) -> tuple[int, int]:
        """Rows and columns of a map whose middle surface is `texels` wide."""
        if self.kind != "cylinder":
            return texels, texels
        columns = 2 * texels
        step = 2.0 * math.pi * self.radius / columns
        return max(round(self.height / step), 1), columns

    def place(self, texels: int) -> Floats:
        """First texel's centre and step, across the columns and down the rows: (4,) float.

        A cap is seen lying on one's back, +y up and so +x to the left; a disc from above, +y up
        and +x to the right; a cylinder from inside, up as it is, azimuth falling to the right.
        """
        rows, columns = self.size(texels)
        if self.kind == "cylinder":
            across, down = -2.0 * math.pi / columns, -self.height / rows
            return np.array([math.pi + across / 2.0, across, self.height + down / 2.0, down])
        step = 2.0 * self.reach / texels
        first = self.reach - step / 2.0
        if self.kind == "cap":
            return np.array([first, -step, first, -step])
        return np.array([-first, step, first, -step])

    @property
    def form(self) -> Floats:
        """Centre, radius, and reach or height: (5,) float, as the kernels take them."""
        reach = self.height if self.kind == "cylinder" else self.reach
        return np.array([*self.centre, self.radius, reach])
