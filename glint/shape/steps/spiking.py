"""Spike: a triangle is split by two and its middle one raised, again and again on what results."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
from pydantic import Field

from glint.errors import ShapeError
from glint.shape.divided import Divider
from glint.shape.polyhedron import Polyhedron
from glint.shape.steps.choose import highest_faces, require_room, without
from glint.shape.steps.splitting import rebuilt, split_triangle
from glint.shape.steps.step import PYRAMIDS, Part, Step, step

MOST_LEVELS = 4

PER_LEVEL = 6
"""Panels that one level makes of one: three around the middle, three on the pyramid there."""


def spike_faces(
    body: Polyhedron,
    sides: int = 3,
    levels: int = 1,
    count: int | None = None,
    key: str = "shape.steps",
) -> Polyhedron:
    """6**levels triangles in place of each triangle, with edges 1 / 2**levels as long.

    Each level takes every triangle that the one before left, those of the pyramids too. count: how
    many faces, the highest first; None for all. Raises ShapeError for faces with a middle that is
    no triangle.
    """
    if sides != 3:
        allowed = "3 (split by two, no other face has a triangle in its middle)"
        raise ShapeError(f"{key} sides", str(sides), allowed)
    chosen = highest_faces(body, sides, count, key)
    require_room(body, (PER_LEVEL**levels - 1) * len(chosen), key)
    divider = Divider(body.vertices, body.divided)
    spiked = [body.faces[i] for i in chosen]
    for _ in range(levels):
        spiked = [small for face in spiked for small in _spike(divider, face)]
    return rebuilt(body, divider, [*without(body.faces, chosen), *spiked])


def _spike(divider: Divider, face: tuple[int, ...]) -> list[tuple[int, ...]]:
    *around, (a, b, c) = split_triangle(divider, face, 2)
    corners = np.array([divider.points[i] for i in (a, b, c)])
    upward = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    edge = np.linalg.norm(corners[1] - corners[0])
    # A regular tetrahedron is sqrt(2/3) of its edge high.
    height = math.sqrt(2.0 / 3.0) * edge / np.linalg.norm(upward)
    tip = divider.add(corners.mean(axis=0) + height * upward)
    return [*around, (a, b, tip), (b, c, tip), (c, a, tip)]


@step
class Spike(Step):
    """Each triangle is split by two and its middle one raised, level by level."""

    do: Literal["spike"] = Field(
        default="spike", title="a triangle is split by two and its middle one raised"
    )
    levels: int = Field(
        default=1,
        ge=1,
        le=MOST_LEVELS,
        title="how often, each time on all triangles of the level before",
    )

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """See `spike_faces`."""
        return spike_faces(body, self.sides, self.levels, self.count, key)

    def done(self) -> str:
        """As "spiked 2 levels deep"."""
        return "spiked" if self.levels == 1 else f"spiked {self.levels} levels deep"

    def parts(self, parent: Part | None) -> list[Part]:
        """A spiked triangle and all in it, level by level."""
        return _parts(self.levels, parent)

    def owners(self, families: Sequence[list[Part]], panels: int) -> list[Part | None]:
        """Each of the smallest parts takes three panels, those around and then the pyramid's."""
        return [part for family in families for part in family for _ in range(3)]


def _parts(levels: int, parent: Part | None) -> list[Part]:
    whole = Part(f"spiked triangle, level {levels}", parent)
    pyramid = Part(PYRAMIDS[3], whole)
    if levels == 1:
        return [whole, pyramid]
    around = [part for _ in range(3) for part in _parts(levels - 1, whole)]
    return [*around, *(part for _ in range(3) for part in _parts(levels - 1, pyramid))]
