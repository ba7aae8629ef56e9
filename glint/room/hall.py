"""The hall: a box."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from pydantic import Field

from glint.room.table import RoomTable

if TYPE_CHECKING:
    from glint.kernels.arrays import Floats
    from glint.room.room import Room

WALLS = {
    "wall_east": (1.0, 0.0, 0.0),
    "wall_north": (0.0, 1.0, 0.0),
    "wall_west": (-1.0, 0.0, 0.0),
    "wall_south": (0.0, -1.0, 0.0),
}
"""The walls and where each stands: +x is east, +y is north."""


class HallTable(RoomTable):
    """A box, length along x and width along y."""

    SURFACES: ClassVar[tuple[str, ...]] = ("ceiling", *WALLS, "floor")

    kind: Literal["hall"] = Field(default="hall", title="a box")
    length_m: float = Field(ge=1.0, le=200.0, title="length along x")
    width_m: float = Field(ge=1.0, le=200.0, title="width along y")
    height_m: float = Field(ge=0.5, le=100.0, title="height")

    @property
    def height(self) -> float:
        """As in RoomTable."""
        return self.height_m

    @property
    def half_sides(self) -> tuple[float, float]:
        """As in RoomTable."""
        return 0.5 * self.length_m, 0.5 * self.width_m

    def ceiling(self, distance: float) -> float:
        """As in RoomTable."""
        return self.height_m

    def build(self, fabric: Floats, floor: Floats) -> Room:
        """As in RoomTable."""
        sizes = self.length_m, self.width_m, self.height_m
        return hall(*sizes, fabric, floor, self.ambient_lux)


def hall(
    length: float, width: float, height: float, fabric: Floats, floor: Floats, ambient: float
) -> Room:
    """A hall, length along x, width along y and height in metres, its floor at z = 0.

    fabric (walls and ceiling), floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx.
    """
    import numpy as np

    from glint.room.room import Room
    from glint.room.surfaces.rectangle import Rectangle

    east, north, upward = np.eye(3)
    span = max(length, width)
    half = np.array([length / 2.0, width / 2.0, 0.0])

    def side(name: str, paint: Floats, centre: Floats, size: tuple, across: Floats, up: Floats):
        wide, high = size
        place = {"centre": centre, "across": across, "up": up, "width": wide, "height": high}
        return Rectangle(name=name, reflectance=paint, span=span, **place)

    surfaces = [side("ceiling", fabric, height * upward, (length, width), -east, north)]
    for name, way in WALLS.items():
        outward = np.array(way)
        middle = outward * half + upward * height / 2.0
        across = np.cross(upward, -outward)
        size = 2.0 * float(np.abs(across) @ half), height
        surfaces.append(side(name, fabric, middle, size, across, upward))
    surfaces.append(side("floor", floor, np.zeros(3), (length, width), east, north))
    return Room(tuple(surfaces), np.full(3, ambient))
