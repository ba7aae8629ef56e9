"""Flat facets of a mesh as convex panels.

Neighbouring triangles in one plane make a facet. A facet is put together from its triangles, two
neighbours at a time, as long as the union stays convex (after S. Hertel & K. Mehlhorn, "Fast
triangulation of the plane with respect to simple polygons", 1985) and has no more corners than a
window of light may have.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from glint.shape import polygons
from glint.shape.divided import Divided
from glint.shape.mesh_file import Mesh
from glint.shape.polyhedron import Polyhedron

MOST_CORNERS = 16

FLAT = math.radians(0.1)
"""Neighbouring triangles that bend by less share a facet."""

_STRAIGHT = 1e-4  # sine of the turn at a corner that counts as none
_PLANE = 1e-3  # how far from its plane a facet may be, as a share of its size

Ring = tuple[int, ...]


def panelled_mesh(mesh: Mesh) -> Polyhedron:
    """A mesh as a body of flat convex panels of at most MOST_CORNERS corners, each corner a real
    one; the rest of them lie on divided edges.
    """
    vertices, triangles = mesh
    normals = polygons.unit(
        np.cross(
            vertices[triangles[:, 1]] - vertices[triangles[:, 0]],
            vertices[triangles[:, 2]] - vertices[triangles[:, 0]],
        )
    )
    faces: list[Ring] = []
    stretches: dict[tuple[int, int], tuple[int, Fraction, Fraction]] = {}
    lines: list[dict[Fraction, int]] = []
    for members in _facets(vertices, triangles, normals):
        normal = polygons.unit(normals[members].sum(axis=0))
        rings = [tuple(ring) for ring in triangles[members].tolist()]
        for ring in _united(vertices, rings, normal):
            corners = _corners(vertices, ring, normal)
            faces.append(tuple(ring[i] for i in corners))
            for place, i in enumerate(corners):
                j = corners[(place + 1) % len(corners)]
                between = ring[i : j + 1] if i < j else ring[i:] + ring[: j + 1]
                if len(between) > 2:
                    _note(between, lines, stretches)
    return Polyhedron(vertices, tuple(faces), divided=Divided(tuple(lines), stretches))


def _note(
    along: Ring,
    lines: list[dict[Fraction, int]],
    stretches: dict[tuple[int, int], tuple[int, Fraction, Fraction]],
) -> None:
    """Remember the corners that lie along an edge."""
    ordered = along if along[0] < along[-1] else along[::-1]
    last = len(ordered) - 1
    stretches[ordered[0], ordered[-1]] = (len(lines), Fraction(0), Fraction(1))
    lines.append({Fraction(place, last): corner for place, corner in enumerate(ordered)})


def _facets(vertices: np.ndarray, triangles: np.ndarray, normals: np.ndarray) -> list[np.ndarray]:
    """Numbers of the triangles of each facet; a group that bends away step by step is taken
    apart again.
    """
    pairs = _neighbours(triangles)
    bend = np.linalg.norm(normals[pairs[:, 0]] - normals[pairs[:, 1]], axis=1)
    flat = pairs[bend < FLAT]
    number = len(triangles)
    links = coo_array((np.ones(len(flat)), (flat[:, 0], flat[:, 1])), shape=(number, number))
    count, label = connected_components(links, directed=False)
    order = np.argsort(label, kind="stable")
    groups = np.split(order, np.cumsum(np.bincount(label, minlength=count))[:-1])
    found: list[np.ndarray] = []
    for members in groups:
        points = vertices[np.unique(triangles[members])]
        heights = (points - points.mean(axis=0)) @ polygons.unit(normals[members].sum(axis=0))
        size = np.linalg.norm(np.ptp(points, axis=0))
        if np.ptp(heights) > _PLANE * size:
            found += [members[i : i + 1] for i in range(len(members))]
        else:
            found.append(members)
    return found


def _neighbours(triangles: np.ndarray) -> np.ndarray:
    """Pairs of triangles that share an edge, (e, 2) int."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    order = np.lexsort((np.maximum(start, end), np.minimum(start, end)))
    return (order // 3).reshape(-1, 2)


def _united(vertices: np.ndarray, rings: list[Ring], normal: np.ndarray) -> list[Ring]:
    """Convex polygons from the triangles of one plane: the whole where that will do, or else pieces
    on both sides of an edge made one, the longest edges first, as long as any two can be.
    """
    outline = _outline(rings)
    if outline is not None and _fits(vertices, outline, normal):
        return [outline]
    pieces = dict(enumerate(rings))
    owner = {edge: number for number, ring in pieces.items() for edge in _edges(ring)}
    into = list(range(len(rings)))  # which piece each was joined to, itself if to none

    def piece_at(edge: tuple[int, int]) -> int:
        number = owner[edge]
        while into[number] != number:
            into[number] = number = into[into[number]]
        return number

    shared = [(a, b) for a, b in owner if a < b and (b, a) in owner]
    shared.sort(key=lambda pair: -float(np.linalg.norm(vertices[pair[1]] - vertices[pair[0]])))
    before = None
    while before != len(pieces):
        before = len(pieces)
        for a, b in shared:
            one, other = piece_at((a, b)), piece_at((b, a))
            if one == other:
                continue
            ring = _joined(pieces[one], pieces[other], a, b)
            if _fits(vertices, ring, normal):
                into[other] = one
                pieces[one] = ring
                del pieces[other]
    return list(pieces.values())


def _edges(ring: Ring) -> list[tuple[int, int]]:
    return list(zip(ring, (*ring[1:], ring[0]), strict=True))


def _outline(rings: list[Ring]) -> Ring | None:
    """The one ring around a facet; None if it has a hole, or only just hangs together."""
    inner = {edge for ring in rings for edge in _edges(ring)}
    following = {a: b for a, b in inner if (b, a) not in inner}
    rim = sum((b, a) not in inner for a, b in inner)
    if len(following) < rim or not rim:
        return None
    ring = [next(iter(following))]
    while (corner := following[ring[-1]]) != ring[0]:
        ring.append(corner)
    return tuple(ring) if len(ring) == rim else None


def _joined(one: Ring, other: Ring, a: int, b: int) -> Ring:
    """The union of two rings along their edge a to b, and along whatever they share beside it."""
    i, j = one.index(b), other.index(a)
    ring = list(one[i:] + one[:i]) + list(other[j:] + other[:j])[1:-1]
    # Where the pieces share several edges in a row, the ring runs to and fro: cut that off.
    place = 0
    while len(ring) > 2 and place < len(ring):
        if ring[place - 1] == ring[(place + 1) % len(ring)]:
            for k in sorted({place, (place + 1) % len(ring)}, reverse=True):
                del ring[k]
            place = 0
        else:
            place += 1
    return tuple(ring)


def _fits(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> bool:
    """Whether a ring is convex, goes round once, and has few enough corners."""
    if len(set(ring)) < len(ring) or len(ring) < 3:
        return False
    turns, ahead = _turns(vertices, ring, normal)
    convex = (turns > -_STRAIGHT) & (ahead | (turns > _STRAIGHT))
    return bool(convex.all()) and int((turns > _STRAIGHT).sum()) <= MOST_CORNERS


def _corners(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> list[int]:
    """Places in a ring where it really turns."""
    turns, _ = _turns(vertices, ring, normal)
    return np.flatnonzero(turns > _STRAIGHT).tolist()


def _turns(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sine of the turn to the left at each corner, and whether the way goes on rather than back."""
    points = vertices[list(ring)]
    arriving = polygons.unit(points - np.roll(points, 1, axis=0))
    leaving = np.roll(arriving, -1, axis=0)
    return np.cross(arriving, leaving) @ normal, (arriving * leaving).sum(axis=1) > 0
