"""A flat facet of a mesh as convex polygons, few and with few corners.

A facet that is convex is left whole. Any other is triangulated anew from its real corners, and the
triangles are put together, two neighbours at a time, as long as the union stays convex (S. Hertel &
K. Mehlhorn, "Fast triangulation of the plane with respect to simple polygons", 1985).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from glint.shape import polygons

MOST_CORNERS = 16
"""As many as a window of light may have."""

_STRAIGHT = 1e-4  # sine of the turn at a corner that counts as none
_SAME_AREA = 1e-6

Ring = tuple[int, ...]


def convex_pieces(vertices: np.ndarray, triangles: list[Ring], normal: np.ndarray) -> list[Ring]:
    """Convex rings of at most MOST_CORNERS real corners that cover a facet's triangles, with all
    corners that lie on their edges.
    """
    outlines = _outlines(triangles)
    if outlines is None:
        return _united(vertices, triangles, normal)
    if len(outlines) == 1 and _fits(vertices, outlines[0], normal):
        return outlines
    along = {
        (stretch[0], stretch[-1]): stretch
        for ring in outlines
        for stretch in stretches(vertices, ring, normal)
    }
    anew = _triangulated(vertices, outlines, normal)
    if anew is None:
        return _united(vertices, triangles, normal)
    return [
        tuple(corner for edge in _edges(ring) for corner in along.get(edge, edge)[:-1])
        for ring in _united(vertices, anew, normal)
    ]


def real_corners(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> list[int]:
    """Places in a ring where it turns, one way or the other."""
    turns, ahead = _turns(vertices, ring, normal)
    return np.flatnonzero((np.abs(turns) > _STRAIGHT) | ~ahead).tolist()


def stretches(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> Iterator[Ring]:
    """The corners from each real corner of a ring to the next, both ends too."""
    corners = real_corners(vertices, ring, normal)
    for i, j in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        yield ring[i : j + 1] if i < j else ring[i:] + ring[: j + 1]


def _outlines(triangles: list[Ring]) -> list[Ring] | None:
    """The rings around a facet and its holes; None where two of them meet in a corner."""
    inner = {edge for ring in triangles for edge in _edges(ring)}
    rim = [(a, b) for a, b in inner if (b, a) not in inner]
    following = dict(rim)
    if len(following) < len(rim):
        return None
    found = []
    while following:
        ring = [min(following)]
        while (corner := following.pop(ring[-1])) != ring[0]:
            ring.append(corner)
        found.append(tuple(ring))
    return found


def _triangulated(
    vertices: np.ndarray, outlines: list[Ring], normal: np.ndarray
) -> list[Ring] | None:
    """Triangles between the real corners of outlines; None where rounding keeps them from covering
    the whole.
    """
    frame = polygons.frame_along(normal)[:2]
    rings = [tuple(ring[i] for i in real_corners(vertices, ring, normal)) for ring in outlines]
    flat = [vertices[list(ring)] @ frame.T for ring in rings]
    number = {
        tuple(point): corner
        for ring, points in zip(rings, flat, strict=True)
        for corner, point in zip(ring, points.tolist(), strict=True)
    }
    largest = max(range(len(flat)), key=lambda k: shapely.Polygon(flat[k]).area)
    holes = [points for k, points in enumerate(flat) if k != largest]
    facet = shapely.Polygon(flat[largest], holes)
    if not facet.is_valid:
        return None
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(facet))
    if abs(shapely.area(parts).sum() - facet.area) > _SAME_AREA * facet.area:
        return None
    corners = shapely.get_coordinates(shapely.orient_polygons(parts)).reshape(-1, 4, 2)[:, :3]
    return [tuple(number[tuple(point)] for point in triangle) for triangle in corners.tolist()]


def _united(vertices: np.ndarray, rings: list[Ring], normal: np.ndarray) -> list[Ring]:
    """Pieces on both sides of an edge made one, the longest edges first, as long as any two can
    be.
    """
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


def _turns(vertices: np.ndarray, ring: Ring, normal: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Sine of the turn to the left at each corner, and whether the way goes on rather than back."""
    points = vertices[list(ring)]
    arriving = polygons.unit(points - np.roll(points, 1, axis=0))
    leaving = np.roll(arriving, -1, axis=0)
    return np.cross(arriving, leaving) @ normal, (arriving * leaving).sum(axis=1) > 0
