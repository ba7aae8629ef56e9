"""The tables of a scene file, key by key: types, ranges and plain defaults.

Field names are exactly the keys of the file, so each carries its unit. What may stand at a key is
told by its type and bounds here and nowhere else; `wording` turns them into English. A field's
`description` replaces that English where a type says too little. How keys go together is in
`checks`; defaults that depend on other tables are filled by `defaults`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, PrivateAttr

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
    """How the ball moves; a positive speed is anticlockwise seen from above.

    rpm: steady; 1.5, or 0 of a ball that twists. phase_deg: the angle at second 0.
    swing_deg: how far the cord leans at the ends of a swing; its length gives the period.
    swing_towards_deg: azimuth of one end. twist_turns: how far the cord is wound at the ends of a
    free twist there and back, that takes twist_period_s. swing_phase_deg, twist_phase_deg: how far
    on at second 0, 360 being the whole way there and back, 0 the end.
    """

    rpm: float = Field(default=FILLED, ge=-120.0, le=120.0)
    phase_deg: float = Field(default=0.0, ge=-360.0, le=360.0)
    swing_deg: float | None = Field(default=None, gt=0.0, le=80.0)
    swing_towards_deg: float | None = Field(default=None, ge=-360.0, le=360.0)
    swing_phase_deg: float | None = Field(default=None, ge=-360.0, le=360.0)
    twist_turns: float | None = Field(default=None, gt=0.0, le=100.0)
    twist_period_s: float | None = Field(default=None, ge=1.0, le=3600.0)
    twist_phase_deg: float | None = Field(default=None, ge=-360.0, le=360.0)


class BallTable(Table):
    """One ball. Keys of its own `tile` table stand in for those of the scene's."""

    name: Name = Field(default=FILLED, description=A_NAME)
    shape: ShapeTable
    tile: TileTable = TileTable()
    hang: HangTable = HangTable()
    motion: MotionTable = MotionTable()


class EyeTable(Table):
    """Where somebody stands, where they look, and how wide their view is from side to side.

    glare: how much light their eye scatters, 1 for a young healthy one, 0 for none.
    """

    at_m: Point = Field(default=FILLED, description=A_POINT)
    look_m: Point = Field(default=FILLED, description=A_POINT)
    fov_deg: float = Field(default=75.0, ge=5.0, le=220.0)
    glare: float = Field(default=1.0, ge=0.0, le=10.0)


class OpticsTable(Table):
    """How far light is followed.

    bounces: most mirrors in a chain. flux_floor: share of a lamp's lumens below which a chain is
    cut off, and accounted for.
    """

    bounces: int = Field(default=4, ge=0, le=8)
    flux_floor: float = Field(default=1e-7, ge=0.0, le=0.1)


class CandidateTable(Table):
    """A shape that might hang in the first ball's place: `glint compare` measures each."""

    name: Name = Field(default=FILLED, description=A_NAME)
    shape: ShapeTable
    tile: TileTable = TileTable()
    by: Literal["vertex", "face", "edge", "opening"] = FILLED


class FreeTable(Table):
    """A number that `glint place` may choose: of one ball or of one lamp, between two bounds."""

    ball: str | None = Field(default=None, description="a ball's name")
    lamp: str | None = Field(default=None, description="a lamp's name")
    key: FreeKey
    least: float = Field(ge=-1e6, le=1e6)
    most: float = Field(ge=-1e6, le=1e6)


class GoalTable(Table):
    """What `glint place` looks for: weights of what is to be much, and limits that must hold.

    spots, evenness and cover are weights; each is counted relative to the scene as it stands.
    Speed is the ninetieth percentile of the spots', lux that of their peaks.
    """

    spots: float = Field(default=1.0, ge=0.0, le=1000.0)
    evenness: float = Field(default=1.0, ge=0.0, le=1000.0)
    cover: float = Field(default=0.0, ge=0.0, le=1000.0)
    speed_at_most_m_s: float | None = Field(default=None, ge=1e-6, le=1000.0)
    passes_at_most_per_s: float | None = Field(default=None, ge=1e-6, le=1000.0)
    peak_at_most_lux: float | None = Field(default=None, ge=1e-6, le=1e9)
    peak_at_least_lux: float | None = Field(default=None, ge=0.0, le=1e9)
    tiles_at_most: int | None = Field(default=None, ge=1, le=10**7)
    seed: int = Field(default=7, ge=0, le=2**32 - 1)


class SceneFile(Table):
    """A whole scene file."""

    title: str = Field(
        default="Quince Night",
        max_length=120,
        pattern=PRINTABLE,
        description="a text of at most 120 printable characters",
    )
    visible_contrast: float = Field(default=0.2, ge=0.0, le=100.0)
    room: AnyRoom
    tile: TileTable = TileTable()
    ball: Annotated[tuple[BallTable, ...], Field(strict=False, min_length=1, max_length=MOST_BALLS)]
    lamp: Annotated[tuple[LampTable, ...], Field(strict=False, max_length=MOST_LAMPS)] = ()
    string: Annotated[tuple[StringTable, ...], Field(strict=False, max_length=MOST_STRINGS)] = ()
    eye: EyeTable = EyeTable()
    optics: OpticsTable = OpticsTable()
    candidate: Annotated[
        tuple[CandidateTable, ...], Field(strict=False, max_length=MOST_CANDIDATES)
    ] = ()
    free: Annotated[tuple[FreeTable, ...], Field(strict=False, max_length=MOST_FREE)] = ()
    goal: GoalTable = GoalTable()
    workshop: WorkshopTable = WorkshopTable()

    _path: Path = PrivateAttr(default=Path("scene.toml"))
    _tables: dict[str, Any] | None = PrivateAttr(default=None)
    _text: str | None = PrivateAttr(default=None)

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

    def replaced(self, **parts: Any) -> SceneFile:
        """The same file with other filled parts, by their keys; as it was written is then not known
        any more."""
        changed = self.model_copy(update=parts)
        changed._tables = changed._text = None
        return changed
