"""Flat facets of a mesh as convex panels: neighbouring triangles in one plane make a facet."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from glint.shape import polygons
from glint.shape.convex_pieces import Ring, convex_pieces, stretches
from glint.shape.divided import Divided
from glint.shape.mesh_file import Mesh
from glint.shape.polyhedron import Polyhedron

FLAT = math.radians(0.1)
"""Neighbouring triangles that bend by less share a facet."""

_PLANE = 1e-3  # how far from its plane a facet may be, as a share of its size


def panelled_mesh(mesh: Mesh) -> Polyhedron:
    """A mesh as a body of flat convex panels of at most 16 corners, each corner a real one; the
    rest of them lie on divided edges.
    """
    vertices, triangles = mesh
    normals = polygons.unit(
        np.cross(
            vertices[triangles[:, 1]] - vertices[triangles[:, 0]],
            vertices[triangles[:, 2]] - vertices[triangles[:, 0]],
        )
    )
    faces: list[Ring] = []
    on: dict[tuple[int, int], tuple[int, Fraction, Fraction]] = {}
    lines: list[dict[Fraction, int]] = []
    for members in _facets(vertices, triangles, normals):
        normal = polygons.unit(normals[members].sum(axis=0))
        rings = [tuple(ring) for ring in triangles[members].tolist()]
        for ring in convex_pieces(vertices, rings, normal):
            around = list(stretches(vertices, ring, normal))
            faces.append(tuple(stretch[0] for stretch in around))
            for stretch in around:
                if len(stretch) > 2:
                    _note(stretch, lines, on)
    return Polyhedron(vertices, tuple(faces), divided=Divided(tuple(lines), on))


def _note(
    along: Ring,
    lines: list[dict[Fraction, int]],
    on: dict[tuple[int, int], tuple[int, Fraction, Fraction]],
) -> None:
    """Remember the corners that lie along an edge."""
    ordered = along if along[0] < along[-1] else along[::-1]
    last = len(ordered) - 1
    on[ordered[0], ordered[-1]] = (len(lines), Fraction(0), Fraction(1))
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
