"""The catalogue: every base solid, plain and with its faces raised or capped in each way that can
be built; and the spiked bodies, one to three levels deep.

A solid with faces that are no triangles or squares is listed with what is left over.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import NamedTuple

import numpy as np

from glint.shape.bases import solid
from glint.shape.buildable import cut_panels, cuts_in_words, remarks, unfinished
from glint.shape.face_names import faces_left
from glint.shape.hang import hanging_axis, upright
from glint.shape.named_shapes import shapes
from glint.shape.polyhedron import Polyhedron, panels, rotated
from glint.shape.steps import Step, apply_steps
from glint.shape.symmetry import rotation_order
from glint.shape.wording import shape_as_toml, steps_as_toml


class Orders(NamedTuple):
    """Order of rotational symmetry of a body hung by a vertex, a face or an edge of its base."""

    vertex: int
    face: int
    edge: int


class Entry(NamedTuple):
    """One shape. triangles, squares: the tiles it takes. needs: what keeps it from being built,
    "" for nothing. diameter: of the sphere about all its corners, in panel edges. steps: as in a
    scene file. sides: of a prism or antiprism. remarks: joints that lie flat, tips that touch.
    """

    name: str
    base: str
    sides: int | None
    steps: str
    triangles: int
    squares: int
    needs: str
    diameter: float
    symmetry: Orders
    remarks: str = ""

    @property
    def buildable(self) -> bool:
        """Whether nothing is left over and no panels cut each other."""
        return not self.needs

    @property
    def line(self) -> str:
        """The line of a scene file that asks for it."""
        return f"shape = {shape_as_toml(self.base, self.sides, self.steps)}"


@cache
def catalogue() -> tuple[Entry, ...]:
    """Every shape of the catalogue: the solids, then prisms and antiprisms."""
    return tuple(_entry(*named) for named in shapes())


def _entry(name: str, base: str, sides: int | None, steps: tuple[Step, ...]) -> Entry:
    plain = solid(base, sides)
    body = apply_steps(plain, steps)
    kinds = Counter(len(face) for face in body.faces)
    return Entry(
        name=name,
        base=base,
        sides=sides,
        steps=steps_as_toml(steps),
        triangles=kinds[3],
        squares=kinds[4],
        needs=_needs(body),
        diameter=2 * float(np.linalg.norm(body.vertices, axis=1).max()),
        symmetry=Orders(*(_order(plain, body, by) for by in Orders._fields)),
        remarks=remarks(body),
    )


def _needs(body: Polyhedron) -> str:
    left = unfinished(body)
    if left:
        return f"{faces_left(left)} left"
    pairs = cut_panels(body)
    return cuts_in_words(body, pairs) if pairs.size else ""


def _order(plain: Polyhedron, body: Polyhedron, by: str) -> int:
    """Order of a body whose base `plain` hangs by a vertex, a face or an edge."""
    turn = upright(plain, hanging_axis(plain, by))
    return rotation_order([panels(rotated(body, turn))])
