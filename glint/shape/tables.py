"""The tables of a ball: its tiles, its shape, how it hangs, and what it is built with."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, model_validator

from glint.files.table import (
    A_COLOUR,
    A_FLOOR_POINT,
    FILLED,
    FURTHEST,
    PRINTABLE,
    TWO_ANGLES,
    Angles,
    Colour,
    FloorPoint,
    Point,
    Table,
)
from glint.shape.bases import BASES, BaseName
from glint.shape.steps import MOST_STEPS, AnyStep


class TileTable(Table):
    """The mirror tiles and the panels that they are glued on."""

    edge_mm: float = Field(default=25.0, ge=1.0, le=1000.0, title="edge of a tile")
    panel_edge_mm: float = Field(default=32.0, ge=1.0, le=2000.0, title="edge of a panel")
    thickness_mm: float = Field(default=2.0, ge=0.1, le=50.0, title="thickness of a tile")
    recess_mm: float = Field(
        default=FILLED,
        ge=0.0,
        le=50.0,
        title="depth of the panel's pocket for the tile, at most its thickness; without it, all of "
        "the thickness, so that the tile lies flush; on a mesh 0, so that it stands proud; a "
        "ring-laid ball has no pockets",
    )
    reflectance: float = Field(
        default=0.86, ge=0.0, le=1.0, title="share of light that a mirror gives back"
    )
    joint_deg: Angles | None = Field(
        default=None,
        description=TWO_ANGLES,
        title="angles between panels, inside the body, that your joints can take; without it, any",
    )
    panel_colour: Colour = Field(
        default="#2b2723", description=A_COLOUR, title="colour of what is seen between the tiles"
    )
    seam_mm: float = Field(
        default=0.0,
        ge=0.0,
        le=200.0,
        title="gap left open between two panels, for light from inside",
    )
    corner_cut_mm: float = Field(
        default=0.0,
        ge=0.0,
        le=1000.0,
        title="what is cut off each corner of a panel, along its edges: a hole where they meet",
    )
    hole_mm: float = Field(
        default=0.0,
        ge=0.0,
        le=1000.0,
        title="diameter of a round hole through the middle of every panel and its tile",
    )
    inner_reflectance: float = Field(
        default=0.7, ge=0.0, le=0.98, title="share of light that the inside of a panel gives back"
    )
    tilt_sd_deg: float = Field(
        default=0.0,
        ge=0.0,
        le=20.0,
        title="how unevenly tiles are glued: standard deviation of their tilt about each axis",
    )
    seed: int = Field(
        default=7, ge=0, le=2**53, title="seed of the tilts: the same seed gives the same tiles"
    )


MOST_VERTICES, MOST_FACES = 10_000, 20_000
Points = Annotated[tuple[Point, ...], Field(strict=False, min_length=4, max_length=MOST_VERTICES)]
_Corner = Annotated[int, Field(ge=0, lt=MOST_VERTICES)]
_Face = Annotated[tuple[_Corner, ...], Field(strict=False, min_length=3, max_length=64)]
Faces = Annotated[tuple[_Face, ...], Field(strict=False, min_length=4, max_length=MOST_FACES)]

_VERTICES = "a list of 4 to 10000 points [x, y, z] in metres"
_FACES = "a list of 4 to 20000 faces, each a list of 3 to 64 places in vertices_m, from 0"


class ShapeTable(Table):
    """What a ball is made from: a base, or a mesh file. Some keys go with some bases only, and some
    with a mesh only; `glint.schema.rules` says which. A name of the catalogue stands for its table.
    """

    or_name: ClassVar[str] = "the name of a shape that `glint shapes` lists"

    base: BaseName | None = Field(
        default=None, title="the solid it starts from; this, mesh or vertices_m is needed"
    )
    steps: Annotated[tuple[AnyStep, ...], Field(strict=False, max_length=MOST_STEPS)] = Field(
        default=(), title="what is done to its faces, one step after the other"
    )
    diameter_m: float | None = Field(
        default=None,
        ge=0.02,
        le=20.0,
        title="diameter of a ring-laid or geodesic ball; these need it",
    )
    frequency: int | None = Field(
        default=None,
        ge=1,
        le=32,
        title="parts of each icosahedron edge of a geodesic ball, which needs it",
    )
    gap_mm: float = Field(
        default=2.0, ge=0.0, le=100.0, title="gap between tiles of a ring-laid ball"
    )
    sides: int | None = Field(
        default=None, ge=3, le=12, title="sides of a prism or antiprism, which needs it"
    )
    mesh: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=PRINTABLE,
        description="the path of a mesh file (.stl, .obj, .ply or .glb), relative to the scene",
        title="a mesh file in place of a base",
    )
    scale_mm: float | None = Field(
        default=None,
        gt=0.0,
        le=1e6,
        title="length of the mesh file's unit; without it, 1 mm, in a GLB file 1 m",
    )
    tiles: Literal["largest", "triangle", "square", "cut"] = Field(
        default="largest", title="which tiles panels of a mesh get"
    )
    vertices_m: Points | None = Field(
        default=None,
        description=_VERTICES,
        title="corners of a mesh written here, with faces, in place of a file",
    )
    faces: Faces | None = Field(
        default=None,
        description=_FACES,
        title="corners of each face by their places in vertices_m, anticlockwise seen from outside",
    )

    @model_validator(mode="before")
    @classmethod
    def _named(cls, given: Any) -> Any:
        from glint.shape.named_shapes import shape_named

        if not isinstance(given, str):
            return given
        named = shape_named(given)
        if named is None:
            raise ValueError("no shape has this name")
        return named.table

    @classmethod
    def nearest_name(cls, found: str) -> str | None:
        """The shape of the catalogue whose name is nearest."""
        from glint.shape.named_shapes import nearest_name

        return nearest_name(found)

    @property
    def is_mesh(self) -> bool:
        """Whether a mesh tells the whole shape, from a file or told here."""
        return self.mesh is not None or self.vertices_m is not None

    @property
    def is_laid(self) -> bool:
        """Whether its tiles are laid on a core that comes ready-made, without panels."""
        return self.base is not None and BASES[self.base].tiling == "laid"

    def recess_of(self, tile: TileTable) -> float:
        """Depth of the pockets that such tiles lie in, mm."""
        if self.is_laid:
            return 0.0
        if tile.recess_mm is not None:
            return tile.recess_mm
        return 0.0 if self.is_mesh else tile.thickness_mm

    def proud_of(self, tile: TileTable) -> float:
        """How far such tiles stand out of their panels, mm."""
        return tile.thickness_mm - self.recess_of(tile)


class HangTable(Table):
    """Where the ball's centre hangs at rest, and what of it points up."""

    height_m: float = Field(
        default=FILLED,
        ge=0.0,
        le=FURTHEST,
        title="height of the ball's centre at rest; without it, 0.6 of the room's height",
    )
    at_m: FloorPoint = Field(
        default=FILLED,
        description=A_FLOOR_POINT,
        title="place on the floor plan; without it, the middle, in a bell beside the pole",
    )
    by: Literal["vertex", "face", "edge", "opening"] = Field(
        default=FILLED,
        title='what of the body points up; without it, "opening" if it has one, else "vertex"',
    )
    sides: int | None = Field(
        default=None, ge=3, le=12, title='sides of the face that points up; only with by = "face"'
    )
    cord_m: float | None = Field(
        default=None,
        ge=0.05,
        le=FURTHEST,
        title="hook to top of the ball; without it, the workshop's cord_m, or up to the ceiling",
    )


_Speed = Annotated[float, Field(ge=0.5, le=40.0)]
_Speeds = Annotated[tuple[_Speed, ...], Field(strict=False, min_length=1, max_length=8)]
MOST_OWNED = 100


class OwnedTable(Table):
    """Regular tiles of one size that lie at hand."""

    sides: int = Field(ge=3, le=12, title="sides of the tiles: 3 for triangles, 4 for squares")
    count: int = Field(ge=0, le=10**7, title="how many there are")
    edge_mm: float = Field(
        default=FILLED, ge=1.0, le=1000.0, title="their edge; without it, the scene's [tile]"
    )
    thickness_mm: float = Field(
        default=FILLED, ge=0.1, le=50.0, title="their thickness; without it, the scene's [tile]"
    )


class WorkshopTable(Table):
    """What the build sheet counts with: materials, glue, hands, machines and the cord.

    glass_g_cm3: soda-lime float glass (EN 572-1 gives 2,500 kg/m3). panel_g_cm3: solid PLA, as
    makers of filament state it. handling_h, full_cure_h: a solvent-based craft adhesive; the tube
    says it better. hardware_factor: over people; local codes come first. All but the first are
    common practice.
    """

    panel_thickness_mm: float = Field(
        default=3.0, ge=0.1, le=50.0, title="thickness of the panels; edges are taken as mitred"
    )
    glass_g_cm3: float = Field(default=2.5, ge=0.1, le=20.0, title="density of the tiles")
    panel_g_cm3: float = Field(default=1.24, ge=0.01, le=20.0, title="density of the panels")
    glue_g_cm3: float = Field(default=1.1, ge=0.1, le=10.0, title="density of the glue")
    glue_film_mm: float = Field(
        default=0.15, ge=0.0, le=5.0, title="thickness of glue under a tile"
    )
    seam_bead_mm2: float = Field(
        default=4.0, ge=0.0, le=400.0, title="cross-section of the bead of glue along a joint"
    )
    spare_percent: float = Field(
        default=5.0, ge=0.0, le=100.0, title="tiles and panels beyond those needed, for breakage"
    )
    tile_s: float = Field(
        default=30.0, ge=0.0, le=3600.0, title="time to glue one tile, one pair of hands"
    )
    joint_s: float = Field(
        default=60.0, ge=0.0, le=3600.0, title="time to glue one joint, one pair of hands"
    )
    hands: int = Field(default=1, ge=1, le=100, title="people at work")
    evening_h: float = Field(default=4.0, ge=0.25, le=24.0, title="hours of work in one evening")
    handling_h: float = Field(
        default=24.0, ge=0.0, le=1000.0, title="time until the glue bears handling"
    )
    full_cure_h: float = Field(
        default=72.0, ge=0.0, le=5000.0, title="time until the glue has its full strength"
    )
    panel_min: float = Field(default=12.0, ge=0.0, le=10000.0, title="time to print one panel")
    machine_h: float = Field(
        default=12.0, ge=0.1, le=24.0, title="hours a day that each machine prints"
    )
    machines: int = Field(default=1, ge=1, le=1000, title="machines that print")
    cord_m: float | None = Field(
        default=None,
        ge=0.05,
        le=FURTHEST,
        title="hook to the top of the ball; without it, straight up to what is overhead",
    )
    hardware_factor: float = Field(
        default=10.0,
        ge=1.0,
        le=100.0,
        title="how many times the weight hook, cord and safety line are rated for",
    )
    wind_m_s: _Speeds = Field(
        default=(2.0, 5.0, 10.0),
        description="a list of 1 to 8 wind speeds in metres a second, each from 0.5 to 40",
        title="winds for which the sheet shows how far a ball leans on its cord",
    )
    owned: Annotated[tuple[OwnedTable, ...], Field(strict=False, max_length=MOST_OWNED)] = Field(
        default=(),
        title="tiles at hand, which `check` and `build` hold against all balls with their spares",
    )
