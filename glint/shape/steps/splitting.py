"""Split: a triangle or square becomes smaller panels of the same shape, all in its plane."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from pydantic import Field

from glint.errors import ShapeError
from glint.shape.divided import Divider
from glint.shape.face_names import face_name
from glint.shape.polyhedron import Polyhedron
from glint.shape.steps.choose import highest_faces, require_room, without
from glint.shape.steps.step import Part, Step, step

Face = tuple[int, ...]

MOST_PARTS = 16
"""Parts of an edge."""


def split_faces(
    body: Polyhedron,
    sides: int,
    frequency: int = 2,
    count: int | None = None,
    key: str = "shape.steps",
) -> Polyhedron:
    """frequency**2 panels in place of each triangle or square, with edges 1 / frequency as long.

    count: how many faces, the highest first; None for all. The small panels come last in `faces`.
    Raises ShapeError for other faces.
    """
    if sides not in (3, 4):
        allowed = "3 or 4 (other faces do not split into smaller ones of the same shape)"
        raise ShapeError(f"{key} sides", str(sides), allowed)
    chosen = highest_faces(body, sides, count, key)
    require_room(body, (frequency**2 - 1) * len(chosen), key)
    divider = Divider(body.vertices, body.divided)
    cut_up = split_triangle if sides == 3 else split_square
    small: list[Face] = []
    for i in chosen:
        small += cut_up(divider, body.faces[i], frequency)
    return rebuilt(body, divider, [*without(body.faces, chosen), *small])


def rebuilt(body: Polyhedron, divider: Divider, faces: Iterable[Face]) -> Polyhedron:
    """The body with other faces and the corners and edges that a divider made."""
    return replace(body, vertices=divider.vertices, faces=tuple(faces), divided=divider.divided)


def split_triangle(divider: Divider, face: Face, frequency: int) -> list[Face]:
    """The panels of one triangle: those that stand as it does, then those upside down."""
    a, b, c = face
    left, right = divider.along(a, c, frequency), divider.along(b, c, frequency)
    rows = [divider.along(a, b, frequency)]
    rows += [_across(divider, left[i], right[i], frequency - i) for i in range(1, frequency)]
    rows.append([c])
    upright, inverted = [], []
    for low, high in pairwise(rows):
        upright += [(low[j], low[j + 1], high[j]) for j in range(len(high))]
        inverted += [(low[j + 1], high[j + 1], high[j]) for j in range(len(high) - 1)]
    return upright + inverted


def split_square(divider: Divider, face: Face, frequency: int) -> list[Face]:
    """The panels of one square, row by row."""
    a, b, c, d = face
    left, right = divider.along(a, d, frequency), divider.along(b, c, frequency)
    rows = [divider.along(a, b, frequency)]
    rows += [_across(divider, left[i], right[i], frequency) for i in range(1, frequency)]
    rows.append(divider.along(d, c, frequency))
    return [
        (low[j], low[j + 1], high[j + 1], high[j])
        for low, high in pairwise(rows)
        for j in range(frequency)
    ]


def _across(divider: Divider, start: int, end: int, parts: int) -> list[int]:
    """Corners inside one face, from one of its edges to another, which no other face shares."""
    origin, way = divider.points[start], divider.points[end] - divider.points[start]
    inner = [divider.add(origin + (k / parts) * way) for k in range(1, parts)]
    return [start, *inner, end]


@step
class Split(Step):
    """Each face becomes frequency**2 smaller ones."""

    do: Literal["split"] = Field(
        default="split", title="each triangle or square becomes smaller ones in its plane"
    )
    frequency: int = Field(
        default=2,
        ge=2,
        le=MOST_PARTS,
        title="parts that each edge is cut into; its square is the number of small faces",
    )

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """See `split_faces`."""
        return split_faces(body, self.sides, self.frequency, self.count, key)

    def done(self) -> str:
        """As "split by 2"."""
        return f"split by {self.frequency}"

    def parts(self, parent: Part | None) -> list[Part]:
        """One flat face of many panels."""
        return [Part(f"flat {face_name(self.sides)} of {self.frequency**2}", parent)]
