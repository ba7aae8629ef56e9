"""Open: a face is left off, for the hanger or for light."""

from __future__ import annotations

from dataclasses import replace

from glint.errors import ShapeError
from glint.shape.polyhedron import Polyhedron
from glint.shape.steps.choose import highest_faces, without


def open_faces(
    body: Polyhedron, sides: int, count: int = 1, key: str = "shape.steps"
) -> Polyhedron:
    """Leave off `count` faces, the highest first. Raises ShapeError where there are not that many,
    or no others.
    """
    chosen = highest_faces(body, sides, count, key)
    if len(chosen) == len(body.faces):
        raise ShapeError(
            f"{key} count", str(count), f"at most {count - 1}, so that a panel is left"
        )
    left_off = (*body.open_faces, *(body.faces[i] for i in chosen))
    return replace(body, faces=tuple(without(body.faces, chosen)), open_faces=left_off)
