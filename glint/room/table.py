"""What the tables of all rooms have in common, and those of all round ones.

A kind of room is a table of its own in a file of its own, named in `glint.room.kinds`. What builds
it is imported when it is built: reading a scene, and telling what is wrong with it, stays quick.
"""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Annotated, ClassVar, NamedTuple, Self

from pydantic import Field

from glint.files.table import A_COLOUR, FILLED, Colour, Name, Table

if TYPE_CHECKING:
    from glint.kernels.arrays import Floats
    from glint.room.room import Room
    from glint.room.surface import Surface

_SURFACES = "a list of names of surfaces of the room"


class Share(NamedTuple):
    """The range of a key as shares of another one, in metres both."""

    of: str
    least: float
    most: float


class RoomTable(Table):
    """Any room; `open` names surfaces that carry nothing, so that light leaves there.

    SURFACES: names of its surfaces. SHARES: ranges of keys that depend on others. BESIDE: keys that
    say something only beside another, unless that one is 0, and why. Keys without a default are
    needed.
    """

    kind_key: ClassVar[str] = "kind"
    SURFACES: ClassVar[tuple[str, ...]]
    SHARES: ClassVar[dict[str, Share]] = {}
    BESIDE: ClassVar[dict[str, tuple[str, str]]] = {}

    kind: str
    open: Annotated[tuple[Name, ...], Field(strict=False, max_length=32)] = Field(
        default=(),
        description=_SURFACES,
        title="surfaces that are not there at all, so that light leaves",
    )
    reflectance: float = Field(
        default=0.6,
        ge=0.0,
        le=0.98,
        title="share of light that fabric, walls and ceiling give back",
    )
    floor_reflectance: float = Field(
        default=0.2, ge=0.0, le=0.98, title="share of light that the floor gives back"
    )
    fabric_colour: Colour = Field(
        default="#ffffff", description=A_COLOUR, title="colour of fabric, walls and ceiling"
    )
    floor_colour: Colour = Field(
        default="#ffffff", description=A_COLOUR, title="colour of the floor"
    )
    ambient_lux: float = Field(default=0.3, ge=0.0, le=10000.0, title="light that is there anyway")
    haze_per_m: float = Field(
        default=0.0,
        ge=0.0,
        le=1.0,
        description="a number from 0 to 1, per metre",
        title="share of light that haze scatters on each metre; 0.02 shows beams to the eye",
    )

    def filled(self) -> Self:
        """The table with defaults that depend on its other keys."""
        return self

    @property
    @abstractmethod
    def height(self) -> float:
        """Metres from the floor to the highest point overhead."""

    @property
    @abstractmethod
    def half_sides(self) -> tuple[float, float]:
        """How far the floor reaches from the middle along x and along y, m."""

    @abstractmethod
    def ceiling(self, distance: float) -> float:
        """Metres from the floor to what is overhead at a distance (m) from the middle."""

    @property
    def hanging_place(self) -> tuple[float, float]:
        """Where a ball hangs that says nothing of it, m."""
        return 0.0, 0.0

    @abstractmethod
    def build(self, fabric: Floats, floor: Floats) -> Room:
        """The room, all its surfaces closed. fabric, floor: (3,) float, reflectance, linear RGB."""


class RoundTable(RoomTable):
    """A room on a round floor: a roof of some rise on an upright wall.

    RISE, WALL: the rise where none is given, in radii, and the wall's height, m, but at most the
    radius.
    """

    RISE: ClassVar[float]
    WALL: ClassVar[float]

    radius_m: float = Field(ge=0.5, le=100.0, title="radius of the floor")
    rise_m: float = Field(
        default=FILLED, ge=0.1, le=100.0, title="height of the roof above the wall"
    )
    wall_m: float = Field(default=FILLED, ge=0.0, le=20.0, title="height of the upright wall")

    def filled(self) -> Self:
        """As in RoomTable."""
        wall = min(self.WALL, self.radius_m)
        update = {
            "rise_m": self.RISE * self.radius_m if self.rise_m is None else self.rise_m,
            "wall_m": wall if self.wall_m is None else self.wall_m,
        }
        return self.model_copy(update=update)

    @property
    def height(self) -> float:
        """As in RoomTable."""
        return self.wall_m + self.rise_m

    @property
    def half_sides(self) -> tuple[float, float]:
        """As in RoomTable."""
        return self.radius_m, self.radius_m


def below(radius: float, wall: float, fabric: Floats, floor: Floats) -> tuple[Surface, ...]:
    """The wall, if there is one, and the floor of a round room: lengths in m, reflectances (3,)."""
    from glint.room.surfaces.revolution import Revolution

    level = Revolution(name="floor", reflectance=floor, r0=0.0, z0=0.0, r1=radius, z1=0.0)
    if wall <= 0.0:
        return (level,)
    return Revolution(name="wall", reflectance=fabric, r0=radius, z0=0.0, r1=radius, z1=wall), level
