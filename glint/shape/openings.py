"""Where light leaves a body: seams, corner holes, faces left open, and holes in the panels.

Every panel is drawn in by half a seam along its sides, and its corners are cut off. Between what is
left of two panels lies a flat strip, because their edges stay parallel; around a corner of the body
lies a polygon from panel to panel, flat or not; a face left open is open as it is. Together with
the panels these close the body without gap or overlap, so no light can slip past them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron, panels

HOLE_CORNERS = 12
"""Corners of the regular polygon that stands for a round hole, of the same area."""

MOST_CORNERS = 12
"""Most corners of an opening."""

FLAT = 1e-9
"""How far from a plane the corners of a flat opening may be, share of its size."""

SMALLEST = 1e-10
"""Area below which an opening is none, m**2."""

SEAM, CORNER, FACE, HOLE = range(4)
KINDS = ("seam", "corner", "face", "hole")


class Openings(NamedTuple):
    """n openings, anticlockwise seen from outside; rows repeat their last corner.

    corners: (n, V, 3) float, m, V at most MOST_CORNERS; sides: (n,) int; kind: (n,) int, SEAM,
    CORNER, FACE or HOLE; number: (n,) int, of the edge, corner, face or panel: parts of one opening
    share it. flat: (n,) bool, flat and convex; where not, a ring about its middle.
    through: (n, V, 3) float, m, the rim that light must pass first: of a hole its inner end, on
    the panel, where `corners` is the outer one, on the tile's mirror; else the same.
    """

    corners: np.ndarray
    sides: np.ndarray
    kind: np.ndarray
    number: np.ndarray
    through: np.ndarray
    flat: np.ndarray

    @property
    def areas(self) -> np.ndarray:
        """Area of each, (n,) float, m**2: of a hole, that of its inner end; of a ring that is not
        flat, that which it shows to who sees it straight, for no more light than that can pass."""
        through = Polygons(self.through, self.sides)
        return np.linalg.norm(polygons.area_vectors(through), axis=1)


class Cut(NamedTuple):
    """What is left of the panels, and what is not.

    panels: (m, V, 3) float, m, and their sides; openings: see there
    """

    panels: Polygons
    openings: Openings


def cut_open(body: Polyhedron, seam: float, corner: float, hole: float, tile: float) -> Cut:
    """The panels and openings of a body of equal-edged panels, or of triangles.

    seam, corner: width of a seam and length cut off a corner along a side, m; hole: diameter, m;
    tile: how far the tiles that the holes go through stand out of the panels, m. Raises ValueError
    where nothing would be left of a side.
    """
    closed = [*body.faces, *(body.divided.whole_ring(face) for face in body.open_faces)]
    rings = [body.vertices[list(face)] for face in closed]
    count = len(body.faces)
    ways = [
        _rim(ring, seam if f < count else 0.0, corner if f < count else 0.0)
        for f, ring in enumerate(rings)
    ]
    left = [_without_repeats(way.reshape(-1, 3)) for way in ways[:count]]
    found: list[tuple[int, int, np.ndarray, np.ndarray]] = []
    for number, strip in enumerate(_strips(closed, ways)):
        found += _parts(SEAM, number, strip)
    for number, loop in enumerate(_loops(closed, ways)):
        found += _parts(CORNER, number, loop)
    for number, ring in enumerate(rings[count:]):
        found += _parts(FACE, number, ring)
    if hole > 0.0:
        found += _holes(panels(body), hole, tile)
    return Cut(_padded(left), _openings(found))


def most_openings(body: Polyhedron, seam: float, corner: float, hole: float) -> int:
    """How many openings `cut_open` finds at most, told from its arguments without any cutting; 0
    only where there are none. Rings of more than MOST_CORNERS count as one.
    """
    rings = [body.divided.whole_ring(face) for face in (*body.faces, *body.open_faces)]
    count = len(body.open_faces)
    if seam > 0.0:
        count += sum(map(len, rings)) // 2
    if seam > 0.0 or corner > 0.0:
        count += len(set().union(*rings))
    if hole > 0.0:
        count += len(body.faces)
    return count


def _rim(ring: np.ndarray, seam: float, corner: float) -> np.ndarray:
    """The ends of what is left of each side: (k, 2, 3) float, of side i from corner i to i + 1.

    At a corner of angle a the side starts `half tan(a / 2)` further in than it is cut, or, if the
    cut does not reach that far, where it meets the other side drawn in, at `half cot(a / 2)`.
    """
    half = 0.5 * seam
    after = np.roll(ring, -1, axis=0)
    along = after - ring
    length = np.linalg.norm(along, axis=1)
    along /= length[:, None]
    middle = ring - ring.mean(axis=0)
    normal = np.cross(middle, np.roll(middle, -1, axis=0)).sum(axis=0)
    inward = np.cross(normal / np.linalg.norm(normal), along)
    cosine = -(along * np.roll(along, 1, axis=0)).sum(axis=1)
    tangent = np.sqrt(np.maximum(1.0 - cosine, 0.0) / np.maximum(1.0 + cosine, 1e-300))
    with np.errstate(invalid="ignore"):
        start = np.where(half > 0.0, np.maximum(corner - half * tangent, half / tangent), corner)
    kept = length - start - np.roll(start, -1)
    if kept.min() <= 0.0:
        raise ValueError(f"seams and cut corners leave nothing of a side of {length.min():.4f} m")
    first = ring + along * start[:, None] + half * inward
    last = after - along * np.roll(start, -1)[:, None] + half * inward
    return np.stack([first, last], axis=1)


def _strips(faces: list[tuple[int, ...]], ways: list[np.ndarray]) -> list[np.ndarray]:
    """What lies between two faces along each edge: (4, 3) float each."""
    ends = {}
    for face, way in zip(faces, ways, strict=True):
        for i, start in enumerate(face):
            ends[start, face[(i + 1) % len(face)]] = way[i]
    # Seen from outside a face goes anticlockwise, so the strip outside it goes the other way.
    return [
        np.array([way[1], way[0], ends[b, a][1], ends[b, a][0]])
        for (a, b), way in sorted(ends.items(), key=lambda item: item[0])
        if a < b
    ]


def _loops(faces: list[tuple[int, ...]], ways: list[np.ndarray]) -> list[np.ndarray]:
    """What lies between the faces around each corner, anticlockwise: (k, 3) float each."""
    leaving: dict[tuple[int, int], tuple[int, np.ndarray]] = {}
    for face, way in zip(faces, ways, strict=True):
        size = len(face)
        for i, corner in enumerate(face):
            # Of this face at this corner: its side leaving it, the corner before, and the two
            # points of its rim, in the order in which one goes round the corner anticlockwise.
            points = np.array([way[i, 0], way[i - 1, 1]])
            leaving[corner, face[(i + 1) % size]] = (face[i - 1], points)
    loops = []
    for corner, first in sorted(leaving):
        if (corner, first) not in leaving:
            continue  # on a loop already
        side, points = first, []
        while True:
            side, part = leaving.pop((corner, side))
            points.append(part)
            if side == first:
                break
        loops.append(_without_repeats(np.concatenate(points)))
    return loops


def _holes(shells: Polygons, hole: float, tile: float) -> list[tuple]:
    """A regular polygon of a round hole's area in the middle of each panel, and over it the same
    in the tile's mirror."""
    turns = 2.0 * math.pi * np.arange(HOLE_CORNERS) / HOLE_CORNERS
    radius = 0.5 * hole * hole_stretch()
    rows = []
    middles, normals = polygons.centres(shells), polygons.normals(shells)
    for number, (middle, normal) in enumerate(zip(middles, normals, strict=True)):
        along = polygons.unit(shells.corners[number, 0] - middle)
        ring = radius * (
            np.cos(turns)[:, None] * along + np.sin(turns)[:, None] * np.cross(normal, along)
        )
        rows.append((HOLE, number, middle + tile * normal + ring, middle + ring, True))
    return rows


PROUD = 1.1e-4
"""How far a plug stands before its tile, m: just far enough to be seen as being in its way."""


def plugs(mirrors: Polygons, hole: float, proud: float = PROUD) -> np.ndarray:
    """Black plugs in the middle of tiles, as large as their holes: (n, HOLE_CORNERS, 3) float, m.

    A lamp's light that falls on one is lost, as it is in the hole. proud: m, how far before it.
    """
    return np.array([row[2] for row in _holes(mirrors, hole, proud)])


def hole_stretch() -> float:
    """Radius of the polygon's corners over that of the circle of the same area."""
    return math.sqrt(2.0 * math.pi / (HOLE_CORNERS * math.sin(2.0 * math.pi / HOLE_CORNERS)))


def _parts(kind: int, number: int, ring: np.ndarray) -> list[tuple]:
    """An opening as it is, or, if it has too many corners, as a fan about its middle."""
    ring = _without_repeats(ring)
    if len(ring) < 3:
        return []
    middle = ring.mean(axis=0)
    spokes = ring - middle
    turns = np.cross(spokes, np.roll(spokes, -1, axis=0))
    total = turns.sum(axis=0)
    size = np.linalg.norm(total)
    if size < 2.0 * SMALLEST:
        return []
    normal = total / size
    sides = np.roll(ring, -1, axis=0) - ring
    bends = np.cross(sides, np.roll(sides, -1, axis=0)) @ normal
    flat = bool(np.abs(spokes @ normal).max() <= FLAT * np.abs(spokes).max())
    if len(ring) <= MOST_CORNERS:
        if not flat:
            # What rises before its first corner may be in the way, so that is the deepest.
            ring = np.roll(ring, -int(np.argmin(spokes @ normal)), axis=0)
        return [(kind, number, ring, ring, flat and bends.min() >= -1e-12)]
    fan = [np.array([middle, a, b]) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    return [
        (kind, number, part, part, True)
        for part, turn in zip(fan, turns, strict=True)
        if np.linalg.norm(turn) > 2.0 * SMALLEST
    ]


def _without_repeats(ring: np.ndarray) -> np.ndarray:
    away = np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1)
    return ring[away > 1e-9]


def _padded(rings: list[np.ndarray]) -> Polygons:
    width = max((len(ring) for ring in rings), default=3)
    rows = [np.pad(ring, ((0, width - len(ring)), (0, 0)), mode="edge") for ring in rings]
    sides = np.array([len(ring) for ring in rings], np.int64)
    return Polygons(np.array(rows).reshape(-1, width, 3), sides)


def _openings(found: list[tuple]) -> Openings:
    outer, inner = _padded([row[2] for row in found]), _padded([row[3] for row in found])
    return Openings(
        outer.corners,
        outer.sides,
        np.array([row[0] for row in found], np.int64),
        np.array([row[1] for row in found], np.int64),
        inner.corners,
        np.array([row[4] for row in found], bool),
    )
