"""A body of flat faces: its edges and what meets at them, its angles, its volume and area.

Lengths are in whatever unit the vertices are in; the solids have an edge of 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.divided import Divided
from glint.shape.polygons import Polygons


@dataclass(frozen=True, eq=False)
class Polyhedron:
    """Flat faces joined edge to edge.

    vertices: (v, 3) float; faces: vertex numbers, anticlockwise seen from outside.
    open_faces: faces that were left off, in the order in which they were; with them the surface is
    closed, and they take no part in `faces`. divided: edges of the larger faces and of openings
    that are several edges of smaller ones.
    """

    vertices: np.ndarray
    faces: tuple[tuple[int, ...], ...]
    open_faces: tuple[tuple[int, ...], ...] = ()
    divided: Divided = field(default_factory=Divided)

    @property
    def closed(self) -> bool:
        """Whether no face was left off."""
        return not self.open_faces


class Edges(NamedTuple):
    """ends: (e, 2) int vertex numbers, the lower first; faces: (e, 2) int, the face to the left and
    to the right of the way from the first end to the second, seen from outside; -1 is an opening.
    """

    ends: np.ndarray
    faces: np.ndarray


def panels(body: Polyhedron) -> Polygons:
    """The faces as padded polygons, in their order."""
    return polygons.gather(body.vertices, body.faces)


def face_normals(body: Polyhedron) -> np.ndarray:
    """Outward unit normals, (f, 3) float."""
    return polygons.normals(panels(body))


def face_centres(body: Polyhedron) -> np.ndarray:
    """Mean of each face's corners, (f, 3) float."""
    return polygons.centres(panels(body))


def open_centres(body: Polyhedron) -> np.ndarray:
    """Mean of the corners of each face that was left off, (o, 3) float."""
    return polygons.centres(polygons.gather(body.vertices, body.open_faces))


def edges(body: Polyhedron) -> Edges:
    """Every edge that at least one face has, in the order of its ends.

    Raises ValueError where faces and openings together do not close, or turn different ways.
    """
    ends, faces = _joints(_rings(body))
    faces = np.where(faces < len(body.faces), faces, -1)
    held = (faces >= 0).any(axis=1)
    return Edges(ends[held], faces[held])


def edge_lengths(body: Polyhedron) -> np.ndarray:
    """Length of every edge, (e,) float, in the order of `edges`."""
    return _lengths(body, edges(body).ends)


def edge_length(body: Polyhedron) -> float:
    """Mean length of the edges."""
    return float(edge_lengths(body).mean())


def shortest_edge(body: Polyhedron) -> float:
    """Length of the shortest side of any face."""
    corners = panels(body).corners
    lengths = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    return float(lengths[lengths > 0].min())


def has_equal_edges(body: Polyhedron, tolerance: float = 1e-9) -> bool:
    """Whether no edge differs from the mean by more than `tolerance` of it."""
    lengths = edge_lengths(body)
    return bool(np.ptp(lengths) <= tolerance * lengths.mean())


def dihedral_angles(body: Polyhedron) -> np.ndarray:
    """Angle inside the body between the two faces at each edge, (e,) float, radians, 0 to 2 pi.

    In the order of `edges`; below pi where the body is convex, NaN at the rim of an opening.
    """
    ends, faces = edges(body)
    angles = _inner_angles(body, ends, faces, face_normals(body))
    return np.where((faces >= 0).all(axis=1), angles, np.nan)


def is_convex(body: Polyhedron, tolerance: float = 1e-9) -> bool:
    """Whether no edge is a valley, with every opening taken as closed.

    A closed surface that bends outward at every edge, and goes once round each corner, is convex
    (Tietze 1928; Nakajima 1928). tolerance in radians.
    """
    closed = body.faces + body.open_faces
    ends, faces = _joints(_rings(body))
    normals = polygons.normals(polygons.gather(body.vertices, closed))
    return bool((_inner_angles(body, ends, faces, normals) <= np.pi + tolerance).all())


def is_behind_every_face(body: Polyhedron, depth: float) -> bool:
    """Whether no corner stands out by more than `depth` from the plane of any face.

    So a body is convex that may be of several pieces, or wound about itself.
    """
    shapes = panels(body)
    normals = polygons.normals(shapes)
    reach = (normals * shapes.corners[:, 0]).sum(axis=1)
    return all(
        (body.vertices @ part.T - limit).max() <= depth
        for part, limit in zip(
            np.array_split(normals, 1 + len(normals) // 200),
            np.array_split(reach, 1 + len(reach) // 200),
            strict=True,
        )
    )


def volume(body: Polyhedron) -> float:
    """Volume inside the faces and openings, by the divergence theorem."""
    shells = polygons.gather(body.vertices, body.faces + body.open_faces)
    return float((polygons.centres(shells) * polygons.area_vectors(shells)).sum() / 3.0)


def area(body: Polyhedron) -> float:
    """Area of the faces; openings have none."""
    return float(np.linalg.norm(polygons.area_vectors(panels(body)), axis=1).sum())


def rotated(body: Polyhedron, rotation: np.ndarray) -> Polyhedron:
    """The body turned about the origin by a rotation (3, 3)."""
    return replace(body, vertices=body.vertices @ rotation.T)


def scaled(body: Polyhedron, factor: float) -> Polyhedron:
    """The body made `factor` times as large about the origin."""
    return replace(body, vertices=body.vertices * factor)


def _rings(body: Polyhedron) -> tuple[tuple[int, ...], ...]:
    """Faces, then openings, with all corners on their edges."""
    return tuple(body.divided.whole_ring(face) for face in body.faces + body.open_faces)


def _joints(faces: tuple[tuple[int, ...], ...]) -> Edges:
    """Edges of a closed surface: each is walked once one way and once the other."""
    sizes = np.array([len(face) for face in faces])
    start = np.concatenate([np.array(face) for face in faces])
    last = np.cumsum(sizes) - 1
    end = np.roll(start, -1)
    end[last] = start[last - sizes + 1]
    owner = np.repeat(np.arange(len(faces)), sizes)
    upward, downward = np.flatnonzero(start < end), np.flatnonzero(start > end)
    upward = upward[np.lexsort((end[upward], start[upward]))]
    downward = downward[np.lexsort((start[downward], end[downward]))]
    ends = np.stack([start[upward], end[upward]], axis=1)
    back = np.stack([end[downward], start[downward]], axis=1)
    repeated = (ends[1:] == ends[:-1]).all(axis=1).any()
    if repeated or not np.array_equal(ends, back):
        raise ValueError("the faces do not close, or do not all turn the same way")
    return Edges(ends, np.stack([owner[upward], owner[downward]], axis=1))


def _lengths(body: Polyhedron, ends: np.ndarray) -> np.ndarray:
    return np.linalg.norm(body.vertices[ends[:, 1]] - body.vertices[ends[:, 0]], axis=1)


def _inner_angles(
    body: Polyhedron, ends: np.ndarray, faces: np.ndarray, normals: np.ndarray
) -> np.ndarray:
    """pi less the angle by which the outward normal turns from the left face to the right one."""
    along = polygons.unit(body.vertices[ends[:, 1]] - body.vertices[ends[:, 0]])
    left, right = normals[faces[:, 0]], normals[faces[:, 1]]
    sine = (np.cross(left, right) * along).sum(axis=1)
    return np.pi - np.arctan2(sine, (left * right).sum(axis=1))
