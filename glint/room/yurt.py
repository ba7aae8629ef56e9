"""The yurt: a wall, a roof that leans on a crown ring, and the flat crown in its middle."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, ClassVar, Literal, Self

from pydantic import Field

from glint.files.table import FILLED
from glint.room.table import RoundTable, Share, below

if TYPE_CHECKING:
    from glint.kernels.arrays import Floats
    from glint.room.room import Room
    from glint.room.surface import Surface
    from glint.room.surfaces.revolution import Revolution

CROWN = 0.5
"""Diameter of a crown where none is given, in radii of the room; our choice, as what follows."""

POLE, APART = 0.045, 0.55
"""Width of a roof pole, and how far apart they stand on the wall about, m."""

WOOD = (0.24, 0.115, 0.05)
"""Diffuse reflectance of poles and crown ring, oiled wood."""

RING = 0.04
"""Width of the crown's ring, and of the two pairs of bows across it, m."""


class YurtTable(RoundTable):
    """A roof in the form of a cut-off cone on an upright wall, from it up to a flat crown of
    diameter `crown_m`; the crown is an open ring if `open` names it."""

    SURFACES: ClassVar[tuple[str, ...]] = ("roof", "crown", "wall", "floor")
    SHARES: ClassVar[dict[str, Share]] = {
        "rise_m": Share("radius_m", 0.2, 1.0),
        "crown_m": Share("radius_m", 0.0, 1.0),
    }
    RISE: ClassVar[float] = 0.45
    WALL: ClassVar[float] = 1.6

    kind: Literal["yurt"] = Field(
        default="yurt",
        title="a yurt: a wall, a roof that leans on a crown ring, and the flat crown",
    )
    crown_m: float = Field(
        default=FILLED, ge=0.1, le=100.0, title="diameter of the crown; without it, 0.5 of radius_m"
    )

    def filled(self) -> Self:
        """As in RoomTable."""
        crown = CROWN * self.radius_m if self.crown_m is None else self.crown_m
        return super().filled().model_copy(update={"crown_m": crown})

    def ceiling(self, distance: float) -> float:
        """As in RoomTable."""
        inner = 0.5 * self.crown_m
        down = max(distance - inner, 0.0) / (self.radius_m - inner)
        return self.wall_m + self.rise_m * (1.0 - down)

    def build(self, fabric: Floats, floor: Floats) -> Room:
        """As in RoomTable."""
        sizes = self.radius_m, self.rise_m, self.wall_m, self.crown_m
        return yurt(*sizes, fabric, floor, self.ambient_lux)


def yurt(
    radius: float,
    rise: float,
    wall: float,
    crown: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
) -> Room:
    """A roof from a base radius up by a rise (m) to a crown of a diameter (m), on a wall (m).

    fabric, floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx.
    """
    import numpy as np

    from glint.room.room import Room
    from glint.room.surfaces.revolution import Revolution

    inner, top = crown / 2.0, wall + rise
    roof = Revolution(name="roof", reflectance=fabric, r0=radius, z0=wall, r1=inner, z1=top)
    flat = Revolution(
        name="crown", reflectance=fabric, r0=inner, z0=top, r1=0.0, z1=top, span=roof.reach
    )
    surfaces = (roof, flat, *below(radius, wall, fabric, floor))
    painters = {"roof": _poled, "crown": _crowned}
    return Room(surfaces, np.full(3, ambient), above=2, painters=painters)


def _poled(place: Floats, roof: Revolution, blur: float | Floats) -> Floats:
    """Reflectance of the roof: poles that run up to the ring, and the ring."""
    import numpy as np

    x, y = place[..., 0], place[..., 1]
    out = np.hypot(x, y)
    poles = max(round(2.0 * math.pi * roof.r0 / APART), 8)
    turns = np.arctan2(y, x) * poles / (2.0 * math.pi) - 0.5
    aside = np.abs(turns - np.round(turns)) * 2.0 * math.pi / poles * out
    # Poles get thinner towards a small crown, where they would else run into each other.
    width = np.minimum(POLE, math.pi * out / poles)
    return _wooden(np.minimum(aside - width / 2.0, out - roof.r1 - RING), roof, blur)


def _crowned(place: Floats, crown: Revolution, blur: float | Floats) -> Floats:
    """Reflectance of the crown: within the ring, two pairs of bows that cross each other."""
    import numpy as np

    x, y = np.abs(place[..., 0]), np.abs(place[..., 1])
    bow = np.minimum(np.abs(x - crown.r0 / 4.0), np.abs(y - crown.r0 / 4.0))
    ring = crown.r0 - np.hypot(x, y)
    width = min(RING, crown.r0 / 8.0)
    return _wooden(np.minimum(bow - width / 2.0, ring - width), crown, blur)


def _wooden(beyond: Floats, surface: Surface, blur: float | Floats) -> Floats:
    """Reflectance so far (...), m, beyond the edge of what is of wood."""
    import numpy as np

    wood = np.clip(0.5 - beyond / np.maximum(np.asarray(blur, float), 1e-6), 0.0, 1.0)[..., None]
    return wood * np.array(WOOD) + (1.0 - wood) * surface.reflectance
