"""Whether a body can be glued together: panels of one edge length that do not cut each other."""

from __future__ import annotations

from collections import Counter

import numpy as np

from glint.scene.errors import ShapeError
from glint.scene.model import StepTable
from glint.shape import polygons
from glint.shape.cutting import cutting_pairs
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron, is_convex, panels
from glint.shape.wording import counted, faces_left, step_as_toml

EDGE_TOLERANCE = 1e-9
"""How far a side may be from the common edge length, as a share of it."""

_KINDS = {3: "triangle", 4: "square"}
_MOST_RAISED = 5


def unfinished(body: Polyhedron) -> dict[int, int]:
    """Faces that are no triangle or square: {sides: how many}."""
    kinds = Counter(len(face) for face in body.faces)
    return {sides: count for sides, count in sorted(kinds.items()) if sides not in _KINDS}


def cut_panels(body: Polyhedron) -> np.ndarray:
    """Pairs of panels that cut through each other, (k, 2) int; a convex body has none."""
    return np.empty((0, 2), dtype=np.int64) if is_convex(body) else cutting_pairs(panels(body))


def require_buildable(body: Polyhedron) -> None:
    """Raises ShapeError unless every face is an equilateral triangle or a square of one edge
    length, and no two cut through each other.
    """
    left = unfinished(body)
    if left:
        raise ShapeError(
            "shape.steps", f"{faces_left(left)} are left", f"add {_remedy(body, left)}"
        )
    odd = irregular(panels(body))
    if odd.size:
        found = f"{counted(odd.size, 'face')} with unequal sides or angles, the first {odd[0] + 1}"
        raise ShapeError("shape.steps", found, "equilateral triangles and squares of one edge")
    pairs = cut_panels(body)
    if pairs.size:
        raise ShapeError("shape.steps", cuts_in_words(body, pairs), "panels that stay clear")


def irregular(shapes: Polygons, tolerance: float = EDGE_TOLERANCE) -> np.ndarray:
    """Numbers of triangles and squares with a side that is not the median of all sides, or
    whose corners are not square, (k,) int.
    """
    corners, sides = shapes
    wide = polygons.widen(shapes, max(_KINDS)).corners
    lengths = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    places = np.arange(corners.shape[1])
    real = (places < sides[:, None] - 1) | (places == corners.shape[1] - 1)
    edge = np.median(lengths[real])
    unequal = (real & (np.abs(lengths - edge) > tolerance * edge)).any(axis=1)
    diagonals = np.linalg.norm(wide[:, 2:4] - wide[:, 0:2], axis=2)
    askew = (np.abs(diagonals - np.sqrt(2) * edge) > tolerance * edge).any(axis=1) & (sides == 4)
    return np.flatnonzero(unequal | askew)


def cuts_in_words(body: Polyhedron, pairs: np.ndarray) -> str:
    """How many pairs of panels cut each other, and which is the first, counted from 1."""
    one, other = (f"{_KINDS[len(body.faces[i])]} {i + 1}" for i in pairs[0])
    many = "1 pair of panels cuts" if len(pairs) == 1 else f"{len(pairs)} pairs of panels cut"
    return f"{many} through each other, the first {one} and {other}"


def _remedy(body: Polyhedron, left: dict[int, int]) -> str:
    """Steps that would deal with the faces left, as they are written in a scene file."""
    something_stays = sum(left.values()) < len(body.faces)
    each = []
    for sides, count in left.items():
        steps = [StepTable(do="raise", sides=sides)] if sides <= _MOST_RAISED else []
        if something_stays or not steps:
            steps.append(StepTable(do="open", sides=sides, count=count))
        each.append(" or ".join(map(step_as_toml, steps)))
    return "; and ".join(each)
