"""A ball as it is built: panels and tiles in metres, in the ball's own frame.

The hanging axis is +z through the origin, which is the centre of the base solid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from glint.errors import ShapeError, in_words, listed
from glint.shape import polygons, tiles
from glint.shape.bases import BASES, Base
from glint.shape.bases.rings import faceted_core, ring_laid_tiles
from glint.shape.buildable import cuts_in_words, require_buildable, require_joints
from glint.shape.cutting import cutting_pairs
from glint.shape.hang import hung
from glint.shape.mesh_tiles import fitted
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron, is_behind_every_face, is_convex, panels, scaled
from glint.shape.steps import MOST_PANELS, apply_steps
from glint.shape.symmetry import TOLERANCE, rotation_order
from glint.shape.tables import HangTable, ShapeTable, TileTable
from glint.shape.wording import shape_in_words

if TYPE_CHECKING:
    from glint.shape.mesh_file import Mesh

_MM = 1e-3
_FILE_UNIT_MM = {"glb": 1000.0}  # glTF 2.0, section 3.4: metres; the others have no unit
_SMALLEST_RADIUS, _LARGEST_RADIUS = 0.01, 10.0
_NO_PAIRS = np.empty((0, 2), dtype=np.int64)

LEAST_PROUD = 5e-5
"""How far a flush mirror is out of its panel, m: no pocket is truer, and rays always know which of
the two they meet first."""

MESH_DEPTH = 1e-5
"""What counts as touching, or as the same place, on a mesh: share of its largest panel or radius.
Files with single precision know no better."""

Value = TypeVar("Value")


@dataclass(frozen=True, eq=False)
class Body:
    """Panels and tiles of one ball, metres. V is the most sides of any; rows with fewer repeat
    their last corner. Polygons are anticlockwise seen from outside.

    panel_corners (m, V, 3) float, panel_sides (m,) int; tile_corners (n, V, 3) float, the mirror
    faces, tile_sides (n,) int; tile_panel (n,) int, the panel each is glued on, or -1.
    convex: no edge between panels is a valley. closed: no panel is left off.
    symmetry: order of rotation about +z that maps panels and tiles onto themselves.
    radius: distance of the farthest corner from the origin.
    panel_edge, tile_edge: the one edge length, or the mean for a geodesic sphere. The core of a
    ring-laid ball has no panels to glue on, so there panel_edge is tile edge and gap together.
    cut_to_size: the tiles are not all alike. name: the shape in words; base: of the scene file.
    frame: the panels as a polyhedron, in their order, for joints, angles and volume.
    """

    panel_corners: np.ndarray
    panel_sides: np.ndarray
    tile_corners: np.ndarray
    tile_sides: np.ndarray
    tile_panel: np.ndarray
    convex: bool
    closed: bool
    symmetry: int
    radius: float
    name: str
    base: str
    panel_edge: float
    tile_edge: float
    frame: Polyhedron
    cut_to_size: bool = False

    @property
    def panels(self) -> Polygons:
        """The panels as padded polygons."""
        return Polygons(self.panel_corners, self.panel_sides)

    @property
    def tiles(self) -> Polygons:
        """The mirror faces of the tiles as padded polygons."""
        return Polygons(self.tile_corners, self.tile_sides)


def build_body(shape: ShapeTable, tile: TileTable, hang: HangTable, folder: Path = Path()) -> Body:
    """The ball that a scene's tables describe. folder: where a mesh file is looked up. Raises
    ShapeError where it cannot be built.
    """
    if shape.is_mesh:
        return _mesh_body(shape, tile, folder)
    tiling = _base(shape).tiling
    if tiling != "glued":
        return (_ring_laid_ball if tiling == "laid" else _cut_to_size)(shape, tile, hang)
    frame = panelled(shape, hang)
    require_buildable(frame)
    panel_edge, edge = tile.panel_edge_mm * _MM, tile.edge_mm * _MM
    frame = scaled(frame, panel_edge)
    mirrors = tiles.glued(panels(frame), edge / panel_edge, _proud(shape, tile))
    return _assembled(shape, tile, frame, mirrors, panel_edge, edge)


def panelled(shape: ShapeTable, hang: HangTable) -> Polyhedron:
    """The panels alone, hung: edge 1, or radius 1 if tiles are cut to size; not of laid tiles.

    The base is hung first and the steps follow, so that `open` leaves off the faces next to the
    hanger. A body hung by its opening is turned once more, to that face.
    """
    body = apply_steps(hung_base(shape, hang), shape.steps)
    by = _hung_by(shape, hang)
    return hung(body, by, hang.sides) if by == "opening" else body


def hung_base(shape: ShapeTable, hang: HangTable) -> Polyhedron:
    """The base solid that the steps are taken on, hung: see `panelled`."""
    by = _hung_by(shape, hang)
    base = _base(shape)
    frame = base.polyhedron(shape.sides)
    if by == "opening":
        opened = [step.sides for step in shape.steps if step.opens]
        kind = opened[0] if opened and any(len(f) == opened[0] for f in frame.faces) else None
        body = hung(frame, "face", kind)
    else:
        body = hung(frame, by, hang.sides)
    if base.refined is not None:
        frequency = _given(shape.frequency, "frequency", "a whole number from 1 to 32")
        body = base.refined(body, frequency)
    return body


def _base(shape: ShapeTable) -> Base:
    if shape.base is None:
        raise ShapeError("shape.base", in_words(None), f"{listed(BASES)}; or a mesh file as mesh")
    return BASES[shape.base]


def _hung_by(shape: ShapeTable, hang: HangTable) -> str:
    opened = any(step.opens for step in shape.steps)
    return hang.by or ("opening" if opened else "vertex")


def _ring_laid_ball(shape: ShapeTable, tile: TileTable, hang: HangTable) -> Body:
    if shape.steps:
        allowed = "no steps: a ring-laid ball has no panels to raise or leave off"
        raise ShapeError("shape.steps", f"{len(shape.steps)} of them", allowed)
    if hang.by not in (None, "vertex"):
        allowed = '"vertex", which is a pole: a ring-laid ball hangs by no other point'
        raise ShapeError("hang.by", in_words(hang.by), allowed)
    if hang.sides is not None:
        raise ShapeError("hang.sides", str(hang.sides), "nothing: a ring-laid ball hangs by a pole")
    diameter = _diameter(shape)
    edge, gap, thickness = tile.edge_mm * _MM, shape.gap_mm * _MM, tile.thickness_mm * _MM
    if thickness >= 0.5 * diameter:
        allowed = f"less than {in_words(500 * diameter)}, the ball's radius"
        raise ShapeError("tile.thickness_mm", in_words(tile.thickness_mm), allowed)
    mirrors = ring_laid_tiles(diameter, edge, gap)
    core = faceted_core(0.5 * diameter - thickness)
    return _assembled(shape, tile, core, mirrors, edge + gap, edge)


def _cut_to_size(shape: ShapeTable, tile: TileTable, hang: HangTable) -> Body:
    for number, step in enumerate(shape.steps, start=1):
        if not step.opens:
            allowed = '"open": no equilateral triangles stand on a geodesic sphere'
            raise ShapeError(f"shape.steps {number} do", in_words(step.do), allowed)
    frame = scaled(panelled(shape, hang), 0.5 * _diameter(shape))
    shells = panels(frame)
    margin = _margin(tile)
    _, radii = tiles.inscribed(shells)
    if radii.min() <= margin:
        found = (
            f"{shape.frequency}, which makes panels too small for a margin of {1e3 * margin:.1f} mm"
        )
        raise ShapeError("shape.frequency", found, "a lower one, or a larger diameter_m")
    mirrors = tiles.cut_to_size(shells, margin, _proud(shape, tile))
    return _assembled(shape, tile, frame, mirrors, _mean_edge(shells), _mean_edge(mirrors))


def _mesh_of(shape: ShapeTable, folder: Path) -> tuple[Mesh, str, float]:
    """The mesh of a shape, the key that tells it, and its unit, mm."""
    from glint.shape.mesh_file import mesh_ending, mesh_of_faces, read_mesh

    if shape.mesh is not None:
        unit = shape.scale_mm or _FILE_UNIT_MM.get(mesh_ending(shape.mesh), 1.0)
        return read_mesh(folder, shape.mesh), "shape.mesh", unit
    vertices, faces = np.array(shape.vertices_m, dtype=float), shape.faces or ()
    try:
        return mesh_of_faces(vertices, faces), "shape.faces", 1000.0
    except ValueError as error:
        found, allowed = error.args
        raise ShapeError("shape.faces", found, allowed) from None


def _mesh_body(shape: ShapeTable, tile: TileTable, folder: Path) -> Body:
    """A mesh as it stands in its file, its centre of volume at the origin."""
    from glint.shape.facets import panelled_mesh

    mesh, key, unit = _mesh_of(shape, folder)
    frame = scaled(panelled_mesh(mesh), unit * _MM)
    count, radius = len(frame.faces), float(np.linalg.norm(frame.vertices, axis=1).max())
    if count > MOST_PANELS:
        raise ShapeError(key, f"{count} flat panels", f"at most {MOST_PANELS} panels")
    if not _SMALLEST_RADIUS <= radius <= _LARGEST_RADIUS:
        found = f"a mesh of {2 * radius:.4g} m across at {unit:g} mm to the file's unit"
        allowed = f"{2 * _SMALLEST_RADIUS:g} to {2 * _LARGEST_RADIUS:g} m across"
        raise ShapeError("shape.scale_mm" if shape.mesh else "shape.vertices_m", found, allowed)
    convex = is_behind_every_face(frame, MESH_DEPTH * radius)
    pairs = cutting_pairs(panels(frame), MESH_DEPTH) if not convex else _NO_PAIRS
    if pairs.size:
        raise ShapeError(key, cuts_in_words(frame, pairs), "panels that stay clear")
    edge, proud = tile.edge_mm * _MM, _proud(shape, tile)
    mirrors, owner = fitted(panels(frame), shape.tiles, edge, _margin(tile), proud)
    if not len(owner):
        found = (
            f"{count} panels too small for any tile with a margin of {1e3 * _margin(tile):.1f} mm"
        )
        raise ShapeError(key, found, "larger panels, a larger scale_mm or smaller tiles")
    made = _assembled(shape, tile, frame, mirrors, _mean_edge(panels(frame)), _mean_edge(mirrors))
    return replace(made, tile_panel=owner, convex=convex)


def _assembled(
    shape: ShapeTable,
    tile: TileTable,
    frame: Polyhedron,
    mirrors: Polygons,
    panel_edge: float,
    tile_edge: float,
) -> Body:
    count = len(mirrors.sides)
    mesh = shape.is_mesh
    tiling = "cut to size" if shape.base is None else BASES[shape.base].tiling
    tile_panel = np.full(count, -1) if tiling == "laid" else np.arange(count)
    mirrors = tiles.tilted(mirrors, math.radians(tile.tilt_sd_deg), tile.seed)
    shells = panels(frame)
    if tile.joint_deg is not None and tiling != "laid":
        least, most = tile.joint_deg
        require_joints(frame, math.radians(least), math.radians(most))
    width = max(shells.corners.shape[1], mirrors.corners.shape[1])
    shells, mirrors = polygons.widen(shells, width), polygons.widen(mirrors, width)
    corners = np.concatenate([shells.corners.reshape(-1, 3), mirrors.corners.reshape(-1, 3)])
    return Body(
        *shells,
        *mirrors,
        tile_panel,
        convex=is_convex(frame),
        closed=frame.closed,
        symmetry=rotation_order([shells, mirrors], MESH_DEPTH if mesh else TOLERANCE),
        radius=float(np.linalg.norm(corners, axis=1).max()),
        name=f"mesh {shape.mesh or f'of {len(frame.faces)} panels'}"
        if mesh
        else shape_in_words(str(shape.base), shape.sides, shape.steps),
        base="mesh" if mesh else str(shape.base),
        panel_edge=panel_edge,
        tile_edge=tile_edge,
        frame=frame,
        cut_to_size=tiling == "cut to size",
    )


def _proud(shape: ShapeTable, tile: TileTable) -> float:
    """How far the mirrors are out of their panels, m."""
    return max(shape.proud_of(tile) * _MM, LEAST_PROUD)


def _margin(tile: TileTable) -> float:
    """What is left free along the sides of a regular triangular tile on its regular panel, m."""
    return (tile.panel_edge_mm - tile.edge_mm) * _MM / (2 * math.sqrt(3))


def _mean_edge(shapes: Polygons) -> float:
    lengths = np.linalg.norm(np.roll(shapes.corners, -1, axis=1) - shapes.corners, axis=2)
    return float(lengths.sum() / shapes.sides.sum())


def _diameter(shape: ShapeTable) -> float:
    return _given(shape.diameter_m, "diameter_m", "a length in metres from 0.02 to 20")


def _given(value: Value | None, key: str, allowed: str) -> Value:
    if value is None:
        raise ShapeError(f"shape.{key}", in_words(value), allowed)
    return value
