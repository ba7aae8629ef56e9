"""The tables of a scene file, key by key: types, ranges and plain defaults.

Field names are exactly the keys of the file, so each carries its unit. What may stand at a key is
told by its type and bounds here and nowhere else; `wording` turns them into English. A field's
`description` replaces that English where a type says too little. How keys go together is in
`checks`; defaults that depend on other tables are filled by `defaults`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

FILLED: Any = None
"""Stands in for a default that depends on other tables. What `read_scene` returns has none left."""

Platonic = Literal["tetrahedron", "cube", "octahedron", "dodecahedron", "icosahedron"]
Archimedean = Literal[
    "truncated tetrahedron",
    "cuboctahedron",
    "truncated cube",
    "truncated octahedron",
    "rhombicuboctahedron",
    "truncated cuboctahedron",
    "snub cube",
    "icosidodecahedron",
    "truncated dodecahedron",
    "truncated icosahedron",
    "rhombicosidodecahedron",
    "truncated icosidodecahedron",
    "snub dodecahedron",
]
Solid = Platonic | Archimedean
Base = Solid | Literal["prism", "antiprism", "rings", "geodesic"]

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

PLATONIC: tuple[str, ...] = get_args(Platonic)
ARCHIMEDEAN: tuple[str, ...] = get_args(Archimedean)
SOLIDS: tuple[str, ...] = tuple(name for kind in get_args(Solid) for name in get_args(kind))
BASES: tuple[str, ...] = tuple(name for kind in get_args(Base) for name in get_args(kind))

MOST_BALLS = 32
MOST_LAMPS = 1000
MOST_STRINGS = 64
MOST_LEDS = 500
MOST_STEPS = 16
MOST_CANDIDATES = 200
MOST_FREE = 12
MOST_PARTS = 16
MOST_LEVELS = 4

LEAST_LIGHT = 1e-9
"""Least candela or lumens of a light: of much less, sums come out as nothing."""

_FURTHEST = 200.0  # metres: no coordinate of a scene lies further out

Coordinate = Annotated[float, Field(ge=-_FURTHEST, le=_FURTHEST)]
Point = Annotated[tuple[Coordinate, Coordinate, Coordinate], Field(strict=False)]
FloorPoint = Annotated[tuple[Coordinate, Coordinate], Field(strict=False)]
Turn = Annotated[float, Field(ge=0.0, le=360.0)]
Angles = Annotated[tuple[Turn, Turn], Field(strict=False)]
Colour = Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]
_PRINTABLE = r"^[^\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]*$"
"""Neither control characters nor those that turn the direction or the line of a text, nor the byte
order mark, which no font has and PDF writers fall over."""

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=_PRINTABLE)]
Colours = Annotated[tuple[Colour, ...], Field(strict=False, min_length=1, max_length=24)]
Millimetres = Annotated[float, Field(ge=-10000.0, le=10000.0)]
InnerPoint = Annotated[tuple[Millimetres, Millimetres, Millimetres], Field(strict=False)]
InnerPoints = Annotated[
    tuple[InnerPoint, ...], Field(strict=False, min_length=1, max_length=MOST_LEDS)
]

_A_POINT = "a point [x, y, z] in metres, each from -200 to 200"
_A_FLOOR_POINT = "a point [x, y] in metres, each from -200 to 200"
_TWO_ANGLES = "two angles [least, most] in degrees, each from 0 to 360"
_A_COLOUR = 'a colour as "#rrggbb"'
_COLOURS = 'a colour as "#rrggbb", or a list of 1 to 24 of them'
_POINTS = "a list of 1 to 500 points [x, y, z] in millimetres from the ball's centre"
_A_NAME = "a name of 1 to 60 printable characters"
_SURFACES = "a list of names of surfaces of the room"


class Table(BaseModel):
    """A table of the file: nothing but its own keys, no NaN, no infinity, and never changed."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class RoomTable(Table):
    """The room. Some keys go with some kinds only; `checks` says which.

    dome: a spherical cap of base radius `radius_m` and rise `rise_m` on an upright wall, with the
    struts of a geodesic frame if it has a frequency. bell: a cone on an upright wall, with a pole.
    hall: a box. `open` names surfaces that carry nothing, so that light leaves there.
    """

    kind: Literal["dome", "bell", "hall"] = "dome"
    radius_m: float = Field(default=FILLED, ge=0.5, le=100.0)
    rise_m: float = Field(default=FILLED, ge=0.1, le=100.0)
    wall_m: float = Field(default=FILLED, ge=0.0, le=20.0)
    length_m: float = Field(default=FILLED, ge=1.0, le=200.0)
    width_m: float = Field(default=FILLED, ge=1.0, le=200.0)
    height_m: float = Field(default=FILLED, ge=0.5, le=100.0)
    frequency: int = Field(default=0, ge=0, le=16)
    tube_mm: float = Field(default=28.0, ge=1.0, le=500.0)
    open_share: float = Field(default=0.0, ge=0.0, le=1.0)
    seed: int = Field(default=7, ge=0, le=2**53)
    pole_mm: float = Field(default=60.0, ge=0.0, le=500.0)
    open: Annotated[tuple[Name, ...], Field(strict=False, max_length=32)] = Field(
        default=(), description=_SURFACES
    )
    reflectance: float = Field(default=0.6, ge=0.0, le=0.98)
    floor_reflectance: float = Field(default=0.2, ge=0.0, le=0.98)
    fabric_colour: Colour = Field(default="#ffffff", description=_A_COLOUR)
    floor_colour: Colour = Field(default="#ffffff", description=_A_COLOUR)
    ambient_lux: float = Field(default=0.3, ge=0.0, le=10000.0)
    haze_per_m: float = Field(
        default=0.0, ge=0.0, le=1.0, description="a number from 0 to 1, per metre"
    )


class TileTable(Table):
    """The mirror tiles and the panels that they are glued on.

    joint_deg: the dihedral angles, measured inside the body, that a joint between panels takes.
    seam_mm: what is left open between two panels. corner_cut_mm: what is cut off a panel's corners,
    along each side. hole_mm: diameter of a round hole through the middle of every panel and its
    tile. inner_reflectance: of the panels' diffuse inner side. The last four matter to strings.
    """

    edge_mm: float = Field(default=25.0, ge=1.0, le=1000.0)
    panel_edge_mm: float = Field(default=32.0, ge=1.0, le=2000.0)
    thickness_mm: float = Field(default=2.0, ge=0.1, le=50.0)
    reflectance: float = Field(default=0.86, ge=0.0, le=1.0)
    joint_deg: Angles | None = Field(default=None, description=_TWO_ANGLES)
    panel_colour: Colour = Field(default="#2b2723", description=_A_COLOUR)
    seam_mm: float = Field(default=0.0, ge=0.0, le=200.0)
    corner_cut_mm: float = Field(default=0.0, ge=0.0, le=1000.0)
    hole_mm: float = Field(default=0.0, ge=0.0, le=1000.0)
    inner_reflectance: float = Field(default=0.7, ge=0.0, le=0.98)
    tilt_sd_deg: float = Field(default=0.0, ge=0.0, le=20.0)
    seed: int = Field(default=7, ge=0, le=2**53)


class StepTable(Table):
    """One step of building: which faces, by their number of sides, and how many of them.

    Without a count, `open` takes one such face and the others take all. Where they differ in size,
    the largest are meant. frequency: of `split`, parts of an edge. levels: of `spike`. turned: of
    `cap`, the other of the two ways in which a cupola stands on its face.
    """

    do: Literal["raise", "split", "spike", "cap", "open"]
    sides: int = Field(ge=3, le=12)
    count: int | None = Field(default=None, ge=1, le=100000)
    frequency: int | None = Field(default=None, ge=2, le=MOST_PARTS)
    levels: int | None = Field(default=None, ge=1, le=MOST_LEVELS)
    turned: bool = Field(default=False, description="true or false")


class ShapeTable(Table):
    """What a ball is made from: a base, or a mesh file. Some keys go with some bases only, and some
    with a mesh only; `checks` says which.

    scale_mm: the length of the mesh file's unit. tiles: which a panel of a mesh is given.
    """

    base: Base | None = None
    steps: Annotated[tuple[StepTable, ...], Field(strict=False, max_length=MOST_STEPS)] = ()
    diameter_m: float | None = Field(default=None, ge=0.02, le=20.0)
    frequency: int | None = Field(default=None, ge=1, le=32)
    gap_mm: float = Field(default=2.0, ge=0.0, le=100.0)
    sides: int | None = Field(default=None, ge=3, le=12)
    mesh: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=_PRINTABLE,
        description="the path of a mesh file (.stl, .obj, .ply or .glb), relative to the scene",
    )
    scale_mm: float | None = Field(default=None, gt=0.0, le=1e6)
    tiles: Literal["largest", "triangle", "square", "cut"] = "largest"


class HangTable(Table):
    """Where the ball's centre hangs at rest, and what of it points up.

    cord_m: from the hook to the top of the ball; without it the workshop's `cord_m`, or straight up
    to what is overhead.
    """

    height_m: float = Field(default=FILLED, ge=0.0, le=_FURTHEST)
    at_m: FloorPoint = Field(default=FILLED, description=_A_FLOOR_POINT)
    by: Literal["vertex", "face", "edge", "opening"] = FILLED
    sides: int | None = Field(default=None, ge=3, le=12)
    cord_m: float | None = Field(default=None, ge=0.05, le=_FURTHEST)


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

    name: Name = Field(default=FILLED, description=_A_NAME)
    shape: ShapeTable
    tile: TileTable = TileTable()
    hang: HangTable = HangTable()
    motion: MotionTable = MotionTable()


class LampTable(Table):
    """One spotlight. Of `peak_cd`, `lumens` and `file` one is set, and of `kelvin` and `colour`."""

    name: Name = Field(default=FILLED, description=_A_NAME)
    at_m: Point = Field(default=FILLED, description=_A_POINT)
    aim: str | Point = Field(default=FILLED, description=f"a ball's name, or {_A_POINT}")
    beam_deg: float = Field(default=6.0, ge=0.1, le=160.0)
    field_deg: float = Field(default=FILLED, ge=0.1, le=179.0)
    peak_cd: float | None = Field(default=None, ge=LEAST_LIGHT, le=1e9)
    lumens: float | None = Field(default=None, ge=LEAST_LIGHT, le=1e7)
    file: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=_PRINTABLE,
        description="the path of a lamp file (IES LM-63, .ies), relative to the scene file",
    )
    lens_mm: float = Field(default=60.0, ge=1.0, le=2000.0)
    kelvin: float | None = Field(default=None, ge=1000.0, le=20000.0)
    colour: Colour | None = Field(default=None, description=_A_COLOUR)


class StringTable(Table):
    """String lights inside a ball: small LEDs that shine alike in every direction.

    leds: how many, unless `points_mm` tells. led_lumens: of each; 2 lm is what a small LED on a
    battery gives (common practice). led_mm: diameter. Of `kelvin` and `colour` one is set; of
    several colours the LEDs take turns. lay: a loose "bundle" of diameter `bundle_mm` about the
    ball's centre, a "coil" round the axis, or "points". twinkle_s: the period of a slow twinkle;
    without it the light is steady. seed: of the bundle, and of when each LED twinkles.
    """

    name: Name = Field(default=FILLED, description=_A_NAME)
    ball: Name = Field(default=FILLED, description="a ball's name")
    leds: int = Field(default=50, ge=1, le=MOST_LEDS)
    led_lumens: float = Field(default=2.0, ge=LEAST_LIGHT, le=1e4)
    led_mm: float = Field(default=5.0, ge=0.1, le=100.0)
    kelvin: float | None = Field(default=None, ge=1000.0, le=20000.0)
    colour: Colour | Colours | None = Field(default=None, description=_COLOURS)
    lay: Literal["bundle", "coil", "points"] = FILLED
    bundle_mm: float | None = Field(default=None, ge=1.0, le=10000.0)
    coil_mm: float | None = Field(default=None, ge=1.0, le=10000.0)
    coil_height_mm: float | None = Field(default=None, ge=0.0, le=10000.0)
    turns: float | None = Field(default=None, gt=0.0, le=200.0)
    points_mm: InnerPoints | None = Field(default=None, description=_POINTS)
    twinkle_s: float | None = Field(default=None, ge=0.5, le=120.0)
    seed: int = Field(default=7, ge=0, le=2**53)


class EyeTable(Table):
    """Where somebody stands, where they look, and how wide their view is from side to side.

    glare: how much light their eye scatters, 1 for a young healthy one, 0 for none.
    """

    at_m: Point = Field(default=FILLED, description=_A_POINT)
    look_m: Point = Field(default=FILLED, description=_A_POINT)
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

    name: Name = Field(default=FILLED, description=_A_NAME)
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


class WorkshopTable(Table):
    """What the build sheet reckons with: materials, glue, hands, machines and the cord.

    panel_thickness_mm: of the plastic behind the tiles; edges are taken as mitred.
    glass_g_cm3: 2.5, soda-lime float glass (EN 572-1 gives 2,500 kg/m3).
    panel_g_cm3: 1.24, solid PLA, as makers of filament state it (common practice).
    glue_g_cm3: 1.1; glue_film_mm: under a tile; seam_bead_mm2: section of the bead along a joint;
    all three common practice.
    spare_percent: tiles and panels at hand beyond those needed, for breakage (common practice).
    tile_s, joint_s: to glue one tile, to glue one joint, one pair of hands; hands: people at work;
    evening_h: hours of work in one evening.
    handling_h, full_cure_h: 24 and 72, a solvent-based craft adhesive (common practice; the tube
    says it better).
    panel_min: to print one panel; machine_h: hours a day that each machine runs; machines.
    cord_m: from ceiling hook to ball; without it, straight up to what is overhead.
    hardware_factor: how many times the weight hook, cord and safety line are rated for (common
    practice over people; local codes come first).
    """

    panel_thickness_mm: float = Field(default=3.0, ge=0.1, le=50.0)
    glass_g_cm3: float = Field(default=2.5, ge=0.1, le=20.0)
    panel_g_cm3: float = Field(default=1.24, ge=0.01, le=20.0)
    glue_g_cm3: float = Field(default=1.1, ge=0.1, le=10.0)
    glue_film_mm: float = Field(default=0.15, ge=0.0, le=5.0)
    seam_bead_mm2: float = Field(default=4.0, ge=0.0, le=400.0)
    spare_percent: float = Field(default=5.0, ge=0.0, le=100.0)
    tile_s: float = Field(default=30.0, ge=0.0, le=3600.0)
    joint_s: float = Field(default=60.0, ge=0.0, le=3600.0)
    hands: int = Field(default=1, ge=1, le=100)
    evening_h: float = Field(default=4.0, ge=0.25, le=24.0)
    handling_h: float = Field(default=24.0, ge=0.0, le=1000.0)
    full_cure_h: float = Field(default=72.0, ge=0.0, le=5000.0)
    panel_min: float = Field(default=12.0, ge=0.0, le=10000.0)
    machine_h: float = Field(default=12.0, ge=0.1, le=24.0)
    machines: int = Field(default=1, ge=1, le=1000)
    cord_m: float | None = Field(default=None, ge=0.05, le=_FURTHEST)
    hardware_factor: float = Field(default=10.0, ge=1.0, le=100.0)


class SceneFile(Table):
    """A whole scene file."""

    title: str = Field(
        default="Quince Night",
        max_length=120,
        pattern=_PRINTABLE,
        description="a text of at most 120 printable characters",
    )
    visible_contrast: float = Field(default=0.2, ge=0.0, le=100.0)
    room: RoomTable
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

    @property
    def path(self) -> Path:
        """The file that the scene was read from."""
        return self._path

    @property
    def folder(self) -> Path:
        """Where files named in the scene are looked up."""
        return self._path.parent
