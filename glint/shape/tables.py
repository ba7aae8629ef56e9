"""The tables of a ball: its tiles, its shape, how it hangs, and what it is built with."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

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
from glint.shape.bases import BaseName
from glint.shape.steps import MOST_STEPS, AnyStep


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
    joint_deg: Angles | None = Field(default=None, description=TWO_ANGLES)
    panel_colour: Colour = Field(default="#2b2723", description=A_COLOUR)
    seam_mm: float = Field(default=0.0, ge=0.0, le=200.0)
    corner_cut_mm: float = Field(default=0.0, ge=0.0, le=1000.0)
    hole_mm: float = Field(default=0.0, ge=0.0, le=1000.0)
    inner_reflectance: float = Field(default=0.7, ge=0.0, le=0.98)
    tilt_sd_deg: float = Field(default=0.0, ge=0.0, le=20.0)
    seed: int = Field(default=7, ge=0, le=2**53)


MOST_VERTICES, MOST_FACES = 10_000, 20_000
Points = Annotated[tuple[Point, ...], Field(strict=False, min_length=4, max_length=MOST_VERTICES)]
_Corner = Annotated[int, Field(ge=0, lt=MOST_VERTICES)]
_Face = Annotated[tuple[_Corner, ...], Field(strict=False, min_length=3, max_length=64)]
Faces = Annotated[tuple[_Face, ...], Field(strict=False, min_length=4, max_length=MOST_FACES)]

_VERTICES = "a list of 4 to 10000 points [x, y, z] in metres"
_FACES = "a list of 4 to 20000 faces, each a list of 3 to 64 places in vertices_m, from 0"


class ShapeTable(Table):
    """What a ball is made from: a base, or a mesh file. Some keys go with some bases only, and some
    with a mesh only; `checks` says which.

    scale_mm: the length of the mesh file's unit. tiles: which a panel of a mesh is given.
    vertices_m, faces: a mesh told here instead of in a file: corners, and of each face the places
    of its corners in that list, from 0, anticlockwise seen from outside.
    """

    base: BaseName | None = None
    steps: Annotated[tuple[AnyStep, ...], Field(strict=False, max_length=MOST_STEPS)] = ()
    diameter_m: float | None = Field(default=None, ge=0.02, le=20.0)
    frequency: int | None = Field(default=None, ge=1, le=32)
    gap_mm: float = Field(default=2.0, ge=0.0, le=100.0)
    sides: int | None = Field(default=None, ge=3, le=12)
    mesh: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=PRINTABLE,
        description="the path of a mesh file (.stl, .obj, .ply or .glb), relative to the scene",
    )
    scale_mm: float | None = Field(default=None, gt=0.0, le=1e6)
    tiles: Literal["largest", "triangle", "square", "cut"] = "largest"
    vertices_m: Points | None = Field(default=None, description=_VERTICES)
    faces: Faces | None = Field(default=None, description=_FACES)

    @property
    def is_mesh(self) -> bool:
        """Whether a mesh tells the whole shape, from a file or told here."""
        return self.mesh is not None or self.vertices_m is not None


class HangTable(Table):
    """Where the ball's centre hangs at rest, and what of it points up.

    cord_m: from the hook to the top of the ball; without it the workshop's `cord_m`, or straight up
    to what is overhead.
    """

    height_m: float = Field(default=FILLED, ge=0.0, le=FURTHEST)
    at_m: FloorPoint = Field(default=FILLED, description=A_FLOOR_POINT)
    by: Literal["vertex", "face", "edge", "opening"] = FILLED
    sides: int | None = Field(default=None, ge=3, le=12)
    cord_m: float | None = Field(default=None, ge=0.05, le=FURTHEST)


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
    cord_m: float | None = Field(default=None, ge=0.05, le=FURTHEST)
    hardware_factor: float = Field(default=10.0, ge=1.0, le=100.0)
