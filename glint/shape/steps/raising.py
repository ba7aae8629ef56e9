"""Raise: a face becomes a pyramid of equilateral triangles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from pydantic import Field

from glint.errors import ShapeError
from glint.shape import polygons
from glint.shape.polyhedron import Polyhedron
from glint.shape.steps.choose import highest_faces, require_room, without
from glint.shape.steps.step import PYRAMIDS, Part, Step, step

MOST_RAISED = 5
"""Sides of the largest face on which equilateral triangles meet above it."""


def raise_faces(
    body: Polyhedron, sides: int, count: int | None = None, key: str = "shape.steps"
) -> Polyhedron:
    """A pyramid of equilateral triangles outward on each regular face of 3, 4 or 5 sides.

    count: how many faces, the highest first; None for all. The triangles come last in `faces`.
    Raises ShapeError where no such pyramid stands, or no such face is.
    """
    if sides > MOST_RAISED:
        why = "lie flat" if sides == MOST_RAISED + 1 else "do not meet"
        allowed = f"3, 4 or 5 (equilateral triangles on {sides} sides {why})"
        raise ShapeError(f"{key} sides", str(sides), allowed)
    return raise_these(body, highest_faces(body, sides, count, key), key)


def raise_these(body: Polyhedron, chosen: Sequence[int], key: str = "shape.steps") -> Polyhedron:
    """The same on faces given by number, all with the same 3, 4 or 5 sides."""
    sides = len(body.faces[chosen[0]])
    require_room(body, (sides - 1) * len(chosen), key)
    bases = polygons.gather(body.vertices, [body.faces[i] for i in chosen])
    edges = np.linalg.norm(bases.corners[:, 1] - bases.corners[:, 0], axis=1)
    # A slant edge is as long as the base's, whose corners lie 1 / (2 sin(pi / sides)) off the axis.
    heights = edges * math.sqrt(1.0 - 0.25 / math.sin(math.pi / sides) ** 2)
    apexes = polygons.centres(bases) + polygons.normals(bases) * heights[:, None]
    slopes = [
        (start, end, len(body.vertices) + place)
        for place, i in enumerate(chosen)
        for start, end in zip(body.faces[i], np.roll(body.faces[i], -1).tolist(), strict=True)
    ]
    vertices = np.concatenate([body.vertices, apexes])
    return replace(body, vertices=vertices, faces=(*without(body.faces, chosen), *slopes))


@step
class Raise(Step):
    """Each face becomes a pyramid of equilateral triangles."""

    do: Literal["raise"] = Field(
        default="raise", title="a pyramid of equilateral triangles on each face of 3, 4 or 5 sides"
    )

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """See `raise_faces`."""
        return raise_faces(body, self.sides, self.count, key)

    def done(self) -> str:
        """As "raised"."""
        return "raised"

    def parts(self, parent: Part | None) -> list[Part]:
        """One pyramid."""
        return [Part(PYRAMIDS[self.sides], parent)]
