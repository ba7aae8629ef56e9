"""Which faces a step takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

import numpy as np

from glint.errors import ShapeError
from glint.shape import polygons
from glint.shape.face_names import counted
from glint.shape.polyhedron import Polyhedron

MOST_PANELS = 5000
"""Panels at which building stops: more than anybody glues, and fewer than fill the memory."""

_LEVEL = 9  # decimals, in edges, to which two faces are equally high
_ALIKE = 1e-6  # share of the longest edge by which faces of one size may differ


def highest_faces(
    body: Polyhedron, sides: int, count: int | None, key: str = "shape.steps"
) -> list[int]:
    """Numbers of the `count` highest faces with that many sides, all of them for None.

    Where they differ in size only the largest are taken, as the smaller ones are done already. Of
    faces equally high the one furthest towards +x comes first, then towards +y. Raises ShapeError
    where there are not that many.
    """
    matching = np.array([i for i, face in enumerate(body.faces) if len(face) == sides])
    if not matching.size:
        kinds = Counter(len(face) for face in body.faces)
        there = ", ".join(str(kind) for kind in sorted(kinds))
        raise ShapeError(f"{key} sides", str(sides), f"the sides of a face that is there: {there}")
    shapes = polygons.gather(body.vertices, [body.faces[i] for i in matching])
    edges = np.linalg.norm(shapes.corners[:, 1] - shapes.corners[:, 0], axis=1)
    large = edges > edges.max() * (1 - _ALIKE)
    number = int(large.sum())
    if count is not None and count > number:
        what = "the faces" if large.all() else "the largest faces"
        allowed = f"1 to {number}, {what} of {sides} sides that are there"
        raise ShapeError(f"{key} count", str(count), allowed)
    x, y, z = np.round(polygons.centres(shapes)[large], _LEVEL).T
    return matching[large][np.lexsort((-y, -x, -z))][:count].tolist()


def without(faces: tuple[tuple[int, ...], ...], gone: Collection[int]) -> list[tuple[int, ...]]:
    """The faces whose number is not among those `gone`."""
    dropped = set(gone)
    return [face for i, face in enumerate(faces) if i not in dropped]


def require_room(body: Polyhedron, more: int, key: str) -> None:
    """Raises ShapeError where `more` further faces would be too many."""
    total = len(body.faces) + more
    if total > MOST_PANELS:
        raise ShapeError(key, counted(total, "panel"), f"at most {MOST_PANELS} panels")
