"""What of a body points up: a corner, the middle of a face or of an edge, or an opening.

Of corners, faces or edges that are not all alike, the one whose axis has the highest order of
rotational symmetry is taken; of equal ones the one with more sides, and then the first.
"""

from __future__ import annotations

import numpy as np

from glint.errors import ShapeError, in_words
from glint.shape import polygons
from glint.shape.polyhedron import (
    Polyhedron,
    edges,
    face_centres,
    open_centres,
    panels,
    rotated,
)
from glint.shape.symmetry import rotation_order

_ALIKE = 6  # decimals, in edges, to which two views along an axis are the same
_LEVEL = 9  # decimals, in edges, to which two corners are equally high


def hung(body: Polyhedron, by: str, sides: int | None = None) -> Polyhedron:
    """The body turned so that what it hangs by is up; by: "vertex", "face", "edge" or "opening".

    sides: which faces, for "face". The highest corner off the axis comes to azimuth 0. Raises
    ShapeError where there is no such face or opening.
    """
    return rotated(body, upright(body, hanging_axis(body, by, sides)))


def hanging_axis(body: Polyhedron, by: str, sides: int | None = None) -> np.ndarray:
    """The direction (3,) that is turned up by `hung`; of several openings the first."""
    if sides is not None and by != "face":
        raise ShapeError("hang.sides", str(sides), 'nothing unless by = "face"')
    if by == "opening":
        if body.closed:
            allowed = '"vertex", "face" or "edge", as no face is left open'
            raise ShapeError("hang.by", in_words(by), allowed)
        return polygons.unit(open_centres(body)[0])
    if by == "vertex":
        places, weights = body.vertices, np.zeros(len(body.vertices))
    elif by == "face":
        places, weights = face_centres(body), panels(body).sides
        if sides is not None:
            places, weights = _of_kind(places, weights, sides)
    elif by == "edge":
        ends, faces = edges(body)
        places = body.vertices[ends].mean(axis=1)
        weights = np.where(faces >= 0, panels(body).sides[faces], 0).sum(axis=1)
    else:
        raise ShapeError("hang.by", in_words(by), '"vertex", "face", "edge" or "opening"')
    return _most_symmetric(body, polygons.unit(places), weights)


def _of_kind(places: np.ndarray, weights: np.ndarray, sides: int) -> tuple[np.ndarray, np.ndarray]:
    chosen = weights == sides
    if not chosen.any():
        there = ", ".join(map(str, np.unique(weights)))
        raise ShapeError("hang.sides", str(sides), f"the sides of a face that is there: {there}")
    return places[chosen], weights[chosen]


def _most_symmetric(body: Polyhedron, axes: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """The axis of highest rotational order, then of most weight, then the first."""
    views = np.sort(np.round(axes @ body.vertices.T, _ALIKE), axis=1)
    _, first = np.unique(np.column_stack([weights, views]), axis=0, return_index=True)

    def rank(i: int) -> tuple[int, float, int]:
        turned = rotated(body, upright(body, axes[i]))
        return rotation_order([panels(turned)]), float(weights[i]), -i

    return axes[max(first.tolist(), key=rank)]


def upright(body: Polyhedron, axis: np.ndarray) -> np.ndarray:
    """The rotation (3, 3) that turns `axis` to +z and the highest corner off it to azimuth 0."""
    heights = body.vertices @ axis
    aside = body.vertices - heights[:, None] * axis
    distance = np.linalg.norm(aside, axis=1)
    rank = np.where(distance > 10.0**-_LEVEL, np.round(heights, _LEVEL), -np.inf)
    front = polygons.unit(aside[np.argmax(rank)])
    return np.stack([front, np.cross(axis, front), axis])
