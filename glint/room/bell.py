"""The bell tent: a cone on a low wall, with a pole in the middle, and the floor."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from pydantic import Field

from glint.room.table import RoundTable, Share, below

if TYPE_CHECKING:
    from glint.kernels.arrays import Floats
    from glint.room.room import Room
    from glint.room.surfaces.revolution import Revolution

BESIDE_POLE = 0.3
"""Where a ball hangs that would else hang where the pole stands, in radii."""

GORES, SEAM = 16, 0.018
"""Lengths of cloth that a bell's roof is sewn from, and how wide their seams are, m; our choice."""

DOUBLED = 0.82
"""Light that a seam, where the cloth lies doubled and in shadow of its hem, gives back."""


class BellTable(RoundTable):
    """A cone on an upright wall, with a pole. As steep as 1.7, the texels of its chart keep within
    the square root of two of square."""

    SURFACES: ClassVar[tuple[str, ...]] = ("roof", "wall", "floor")
    SHARES: ClassVar[dict[str, Share]] = {"rise_m": Share("radius_m", 0.2, 1.7)}
    RISE: ClassVar[float] = 0.95
    WALL: ClassVar[float] = 0.6

    kind: Literal["bell"] = Field(
        default="bell", title="a bell tent: a cone on a low wall, with a pole"
    )
    pole_mm: float = Field(
        default=60.0, ge=0.0, le=500.0, title="diameter of the pole in the middle; 0 for none"
    )

    def ceiling(self, distance: float) -> float:
        """As in RoomTable."""
        return self.wall_m + self.rise_m * (1.0 - distance / self.radius_m)

    @property
    def hanging_place(self) -> tuple[float, float]:
        """As in RoomTable: beside the pole."""
        return 0.0, BESIDE_POLE * self.radius_m if self.pole_mm > 0.0 else 0.0

    def build(self, fabric: Floats, floor: Floats) -> Room:
        """As in RoomTable."""
        pole = self.pole_mm / 1000.0
        sizes = self.radius_m, self.rise_m, self.wall_m, pole
        return bell(*sizes, fabric, floor, self.ambient_lux)


def bell(
    radius: float,
    rise: float,
    wall: float,
    pole: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
) -> Room:
    """A cone of a base radius and a rise (m) on an upright wall (m), and its floor at z = 0.

    pole: its diameter, m; 0 for none. fabric, floor: (3,) float, diffuse reflectance in linear
    RGB. ambient: lx.
    """
    import numpy as np

    from glint.room.room import Room
    from glint.room.surfaces.revolution import Revolution

    tip = wall + rise
    roof = Revolution(name="roof", reflectance=fabric, r0=radius, z0=wall, r1=0.0, z1=tip)
    surfaces = (roof, *below(radius, wall, fabric, floor))
    return Room(surfaces, np.full(3, ambient), pole=pole / 2.0, painters={"roof": _seamed})


def _seamed(place: Floats, cone: Revolution, blur: float | Floats) -> Floats:
    """Reflectance of a roof sewn from gores: a little less along seams that run to the tip."""
    import numpy as np

    x, y = place[..., 0], place[..., 1]
    turns = np.arctan2(y, x) * GORES / (2.0 * np.pi)
    away = np.abs(turns - np.round(turns)) * 2.0 * np.pi / GORES * np.hypot(x, y)
    soft = np.maximum(np.asarray(blur, float), 1e-6)
    seam = np.clip((SEAM / 2.0 - away) / soft + 0.5, 0.0, 1.0) * np.minimum(SEAM / soft, 1.0)
    return (1.0 - (1.0 - DOUBLED) * seam)[..., None] * cone.reflectance
