"""The tables of a scene file, key by key: types, ranges and plain defaults.

Field names are exactly the keys of the file, so each carries its unit. What may stand at a key is
told by its type and bounds here and nowhere else; `describe` turns them into English. A field's
`description` replaces that English where a type says too little. Its `title` says what it means;
a default that depends on something else follows there after "without it,". The reference of the
scene file is made of both. How keys go together is in `rules`; defaults that depend on other tables
are filled by `defaults`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, PrivateAttr

from glint.errors import SceneError
from glint.files.table import (
    A_NAME,
    A_POINT,
    FILLED,
    PRINTABLE,
    Name,
    Point,
    Table,
)
from glint.photometry.tables import LampTable, StringTable
from glint.room.kinds import AnyRoom
from glint.shape.tables import HangTable, ShapeTable, TileTable, WorkshopTable

FreeKey = Literal[
    "height_m",
    "x_m",
    "y_m",
    "z_m",
    "aim_x_m",
    "aim_y_m",
    "aim_z_m",
    "beam_deg",
    "rpm",
    "diameter_m",
    "panel_edge_mm",
]

MOST_BALLS = 32
MOST_LAMPS = 1000
MOST_STRINGS = 64
MOST_CANDIDATES = 200
MOST_FREE = 12


class MotionTable(Table):
    """How the ball moves. Phases count 360 degrees for the whole way there and back."""

    rpm: float = Field(
        default=FILLED,
        ge=-120.0,
        le=120.0,
        title="speed, positive anticlockwise from above; without it, 1.5, or 0 with a twist",
    )
    phase_deg: float = Field(
        default=0.0, ge=-360.0, le=360.0, title="angle of the ball at second 0"
    )
    swing_deg: float | None = Field(
        default=None, gt=0.0, le=80.0, title="how far the cord leans at the ends of a swing"
    )
    swing_towards_deg: float | None = Field(
        default=None,
        ge=-360.0,
        le=360.0,
        title="azimuth of one end of the swing; without it, 0, the +x axis",
    )
    swing_phase_deg: float | None = Field(
        default=None,
        ge=-360.0,
        le=360.0,
        title="how far on the swing is at second 0: 0 at that end; without it, 0",
    )
    twist_turns: float | None = Field(
        default=None,
        gt=0.0,
        le=100.0,
        title="how many turns the cord is wound to either side in a free twist",
    )
    twist_period_s: float | None = Field(
        default=None, ge=1.0, le=3600.0, title="time of a twist there and back; a twist needs it"
    )
    twist_phase_deg: float | None = Field(
        default=None,
        ge=-360.0,
        le=360.0,
        title="how far on the twist is at second 0: 0 at one end; without it, 0",
    )


class BallTable(Table):
    """One ball. Keys of its own `tile` table stand in for those of the scene's."""

    name: Name = Field(
        default=FILLED,
        description=A_NAME,
        title='name of the ball; without it, "ball 1", "ball 2" and so on',
    )
    shape: ShapeTable = Field(title="what the ball is made from")
    tile: TileTable = Field(
        default=TileTable(),
        title="keys that differ from the scene's [tile]; without it, the scene's",
    )
    hang: HangTable = Field(default=HangTable(), title="where it hangs, and what points up")
    motion: MotionTable = Field(default=MotionTable(), title="how it moves")


class EyeTable(Table):
    """Where somebody stands, where they look, and how wide their view is from side to side."""

    at_m: Point = Field(
        default=FILLED,
        description=A_POINT,
        title="where the eye is; without it, 0.7 of the radius towards -y, 1.2 m up",
    )
    look_m: Point = Field(
        default=FILLED,
        description=A_POINT,
        title="where it looks; without it, just beyond the middle, 0.6 of the room's height up",
    )
    fov_deg: float = Field(
        default=75.0,
        ge=5.0,
        le=220.0,
        title="width of the view; up to 110 a flat picture, beyond that a fisheye's",
    )
    glare: float = Field(
        default=1.0,
        ge=0.0,
        le=10.0,
        title="how much light the eye scatters: 1 for a young healthy one, 0 for none",
    )


class OpticsTable(Table):
    """How far light is followed."""

    bounces: int = Field(
        default=4, ge=0, le=8, title="most mirrors in a chain that light is followed over"
    )
    flux_floor: float = Field(
        default=1e-7,
        ge=0.0,
        le=0.1,
        title="share of a lamp's lumens below which a chain is cut off (and counted as lost)",
    )


class CandidateTable(Table):
    """A shape that might hang in the first ball's place: `glint compare` measures each."""

    name: Name = Field(
        default=FILLED,
        description=A_NAME,
        title='name in tables and pictures; without it, "candidate 1" and so on',
    )
    shape: ShapeTable = Field(title="what it is made from")
    tile: TileTable = Field(
        default=TileTable(),
        title="keys that differ from the scene's [tile]; without it, the scene's",
    )
    by: Literal["vertex", "face", "edge", "opening"] = Field(
        default=FILLED,
        title='what of it points up; without it, "opening" if it has one, else "vertex"',
    )


class FreeTable(Table):
    """A number that `glint place` may choose: of one ball or of one lamp, between two bounds."""

    ball: str | None = Field(
        default=None,
        description="a ball's name",
        title="the ball whose number is free; either this or lamp",
    )
    lamp: str | None = Field(
        default=None,
        description="a lamp's name",
        title="the lamp whose number is free; either this or ball",
    )
    key: FreeKey = Field(title="which number is free")
    least: float = Field(ge=-1e6, le=1e6, title="the least it may be, in the unit of the key")
    most: float = Field(ge=-1e6, le=1e6, title="the most it may be, above least")


class GoalTable(Table):
    """What `glint place` looks for: weights of what is to be much, and limits that must hold.

    spots, evenness and cover are weights; each is counted relative to the scene as it stands.
    Speed is the ninetieth percentile of the spots', lux that of their peaks.
    """

    spots: float = Field(default=1.0, ge=0.0, le=1000.0, title="weight of many visible spots")
    evenness: float = Field(
        default=1.0, ge=0.0, le=1000.0, title="weight of evenly spread light over a turn"
    )
    cover: float = Field(
        default=0.0,
        ge=0.0,
        le=1000.0,
        title="weight of a large share of the room that spots pass over",
    )
    speed_at_most_m_s: float | None = Field(
        default=None,
        ge=1e-6,
        le=1000.0,
        title="limit to the speed of all but the fastest tenth of the spots",
    )
    passes_at_most_per_s: float | None = Field(
        default=None, ge=1e-6, le=1000.0, title="limit to how often spots pass a place"
    )
    peak_at_most_lux: float | None = Field(
        default=None,
        ge=1e-6,
        le=1e9,
        title="limit to the peak of all but the brightest tenth of the spots",
    )
    peak_at_least_lux: float | None = Field(
        default=None, ge=0.0, le=1e9, title="least value for the same peak"
    )
    tiles_at_most: int | None = Field(
        default=None, ge=1, le=10**7, title="limit to the number of tiles"
    )
    clearance_m: float = Field(
        default=2.0,
        ge=0.0,
        le=100.0,
        title="height over the floor that the lowest point of a ball keeps whose height or size "
        "is free, so that people can stand under it",
    )
    seed: int = Field(
        default=7, ge=0, le=2**32 - 1, title="seed of the search: the same seed finds the same"
    )


class SceneFile(Table):
    """A whole scene file."""

    title: str = Field(
        default="Quince Night",
        max_length=120,
        pattern=PRINTABLE,
        description="a text of at most 120 printable characters",
        title="title of pictures, loops and sheets",
    )
    visible_contrast: float = Field(
        default=0.2,
        ge=0.0,
        le=100.0,
        title="peak that makes a spot visible, as a share of the light that is there anyway",
    )
    room: Annotated[AnyRoom, Field(title="what the light falls on")]
    tile: TileTable = Field(default=TileTable(), title="tiles and panels of all balls")
    ball: Annotated[
        tuple[BallTable, ...], Field(strict=False, min_length=1, max_length=MOST_BALLS)
    ] = Field(title="the balls")
    lamp: Annotated[tuple[LampTable, ...], Field(strict=False, max_length=MOST_LAMPS)] = Field(
        default=(),
        title="the spotlights; without it, one with all defaults, or none if there is a [[string]]",
    )
    string: Annotated[tuple[StringTable, ...], Field(strict=False, max_length=MOST_STRINGS)] = (
        Field(default=(), title="string lights inside balls")
    )
    eye: EyeTable = Field(default=EyeTable(), title="where somebody stands and looks")
    optics: OpticsTable = Field(default=OpticsTable(), title="how far light is followed")
    candidate: Annotated[
        tuple[CandidateTable, ...], Field(strict=False, max_length=MOST_CANDIDATES)
    ] = Field(
        default=(),
        title="shapes that `glint compare` holds against each other in place of the first ball",
    )
    free: Annotated[tuple[FreeTable, ...], Field(strict=False, max_length=MOST_FREE)] = Field(
        default=(), title="numbers that `glint place` may choose"
    )
    goal: GoalTable = Field(default=GoalTable(), title="what `glint place` looks for")
    workshop: WorkshopTable = Field(
        default=WorkshopTable(), title="materials and times for the build sheet"
    )

    _path: Path = PrivateAttr(default=Path("scene.toml"))
    _tables: dict[str, Any] | None = PrivateAttr(default=None)
    _text: str | None = PrivateAttr(default=None)
    _as_written: Callable[[SceneError], SceneError] | None = PrivateAttr(default=None)

    @property
    def path(self) -> Path:
        """The file that the scene was read from."""
        return self._path

    @property
    def folder(self) -> Path:
        """Where files named in the scene are looked up."""
        return self._path.parent

    @property
    def tables(self) -> dict[str, Any] | None:
        """The tables as they were written, without defaults, if they are known."""
        return self._tables

    @property
    def text(self) -> str | None:
        """The text that the tables were read from, if there was any."""
        return self._text

    def told(self, error: SceneError) -> SceneError:
        """An error in this file, with the keys and units that were written."""
        return error if self._as_written is None else self._as_written(error)

    def replaced(self, **parts: Any) -> SceneFile:
        """The same file with other filled parts, by their keys; as it was written is then not known
        any more."""
        changed = self.model_copy(update=parts)
        changed._tables = changed._text = None
        return changed
