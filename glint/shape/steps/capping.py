"""Cap: a face of 6, 8 or 10 sides gets the cupola that fits it.

A cupola is a ring of squares and triangles in turn between a face and a parallel one of half as
many sides (Johnson 1966, solids 3 to 5).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from pydantic import Field

from glint.errors import ShapeError
from glint.shape.polygons import unit
from glint.shape.polyhedron import Polyhedron, dihedral_angles, edges
from glint.shape.steps.choose import highest_faces, require_room, without
from glint.shape.steps.raising import raise_these
from glint.shape.steps.step import PYRAMIDS, Part, Step, step

CAPPED = (6, 8, 10)
"""Sides of the faces on which a cupola of squares and triangles stands."""

_CUPOLAS = {6: "three-sided cupola", 8: "four-sided cupola", 10: "five-sided cupola"}
_KINDS = {3, 4}
_ALIKE = 6  # decimals of a radian to which two angles are alike

Around = dict[tuple[int, int], tuple[int, float]]


def cap_faces(
    body: Polyhedron,
    sides: int,
    count: int | None = None,
    turned: bool = False,
    key: str = "shape.steps",
) -> Polyhedron:
    """A triangular, square or pentagonal cupola outward on each face of 6, 8 or 10 sides.

    Its squares stand on every other edge: on those whose neighbours have the fewest sides
    together; if that is the same for both choices, on those with the smaller dihedral angles; if
    that is the same too, on the face's first edge. `turned` makes the other choice. A pentagon on
    top is raised. count: how many faces, the highest first; None for all. Raises ShapeError for
    other faces.
    """
    if sides not in CAPPED:
        allowed = "6, 8 or 10 (no cupola of squares and triangles stands on other faces)"
        raise ShapeError(f"{key} sides", str(sides), allowed)
    chosen = highest_faces(body, sides, count, key)
    top_sides = sides // 2
    raised = top_sides not in _KINDS
    require_room(body, (sides + (top_sides if raised else 1) - 1) * len(chosen), key)
    around = _around(body)
    vertices, sloping, tops = list(body.vertices), [], []
    for i in chosen:
        face = body.faces[i]
        first = _first_square(face, around) ^ turned
        ring = face[first:] + face[:first]
        corners = body.vertices[list(ring)]
        numbers = [len(vertices) + k for k in range(top_sides)]
        vertices += list(_top(corners))
        for k in range(top_sides):
            start, end, beyond = ring[2 * k], ring[2 * k + 1], ring[(2 * k + 2) % sides]
            sloping.append((start, end, numbers[k], numbers[k - 1]))
            sloping.append((end, beyond, numbers[k]))
        tops.append(tuple(numbers))
    faces = (*without(body.faces, chosen), *sloping, *tops)
    capped = replace(body, vertices=np.array(vertices), faces=faces)
    if raised:
        return raise_these(capped, range(len(faces) - len(tops), len(faces)), key)
    return capped


def _top(ring: np.ndarray) -> np.ndarray:
    """Corners (s, 3) of the upper face of the cupola on a regular ring (2 s, 3): each above the
    middle of the triangle that stands on the second, fourth ... edge.
    """
    sides = len(ring)
    middle = ring.mean(axis=0)
    edge = float(np.linalg.norm(ring[1] - ring[0]))
    upward = unit(np.cross(ring[0] - middle, ring[1] - middle))
    outward = unit(0.5 * (ring[1::2] + np.roll(ring, -2, axis=0)[::2]) - middle)
    # A square leans inward by the difference of the two apothems.
    lean = 0.5 * edge * (1 / math.tan(math.pi / sides) - 1 / math.tan(2 * math.pi / sides))
    height = math.sqrt(edge**2 - lean**2)
    return middle + 0.5 * edge / math.sin(2 * math.pi / sides) * outward + height * upward


def _around(body: Polyhedron) -> Around:
    """For every edge the sides of both its faces together, and its dihedral angle; an opening
    counts as a face with no sides and no angle.
    """
    ends, faces = edges(body)
    counts = np.array([*(len(face) for face in body.faces), 0])
    angles = np.nan_to_num(dihedral_angles(body))
    pairs = zip(ends.tolist(), counts[faces].sum(axis=1).tolist(), angles.tolist(), strict=True)
    found: Around = defaultdict(lambda: (0, 0.0))
    found.update({(low, high): (sides, angle) for (low, high), sides, angle in pairs})
    return found


def _first_square(face: tuple[int, ...], around: Around) -> int:
    """0 if squares stand on the first, third ... edge, 1 if on the others."""
    pairs = [(min(pair), max(pair)) for pair in zip(face, (*face[1:], face[0]), strict=True)]

    def rank(first: int) -> tuple[int, float, int]:
        mine = [around[pair] for pair in pairs[first::2]]
        angle = round(sum(angle for _, angle in mine), _ALIKE)
        return sum(sides for sides, _ in mine), angle, first

    return min((0, 1), key=rank)


@step
class Cap(Step):
    """Each face of 6, 8 or 10 sides gets a cupola."""

    do: Literal["cap"] = Field(
        default="cap",
        title="the cupola that fits a face of 6, 8 or 10 sides; a pentagon on top is raised",
    )
    turned: bool = Field(
        default=False,
        description="true or false",
        title="whether its squares stand on the other edges",
    )

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """See `cap_faces`."""
        return cap_faces(body, self.sides, self.count, self.turned, key)

    def done(self) -> str:
        """As "capped, turned"."""
        return f"capped{', turned' if self.turned else ''}"

    def parts(self, parent: Part | None) -> list[Part]:
        """A cupola, and the pyramid on top if that is raised."""
        whole = Part(_CUPOLAS[self.sides], parent)
        top = self.sides // 2
        return [whole] if top in _KINDS else [whole, Part(PYRAMIDS[top], whole)]

    def owners(self, families: Sequence[list[Part]], panels: int) -> list[Part | None]:
        """The sloping panels of all cupolas come first, then all tops."""
        tops = panels // len(families) - self.sides
        sloping = [family[0] for family in families for _ in range(self.sides)]
        return [*sloping, *(family[-1] for family in families for _ in range(tops))]
