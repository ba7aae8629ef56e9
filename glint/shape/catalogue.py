"""The catalogue: every base solid, plain and with its faces raised or capped in each way that can
be built; and the spiked bodies, one to three levels deep.

A solid with faces that are no triangles or squares is listed with what is left over.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

import numpy as np

from glint.shape.bases import BASES, solid
from glint.shape.buildable import cut_panels, cuts_in_words, remarks, unfinished
from glint.shape.face_names import faces_left
from glint.shape.hang import hanging_axis, upright
from glint.shape.polyhedron import Polyhedron, panels, rotated
from glint.shape.steps import Step, apply_steps
from glint.shape.steps.capping import CAPPED, Cap
from glint.shape.steps.raising import Raise
from glint.shape.steps.spiking import Spike
from glint.shape.symmetry import rotation_order
from glint.shape.wording import shape_in_words, steps_as_toml

_RAISABLE = {3, 4, 5}
_KEPT = {3, 4}
_SPIKED = ("tetrahedron", "octahedron", "icosahedron")
_DEEPEST = 3


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


@cache
def catalogue() -> tuple[Entry, ...]:
    """Every shape of the catalogue: the solids, then prisms and antiprisms."""
    return tuple(
        _entry(base, sides, steps) for base, sides in _bases() for steps in _ways(base, sides)
    )


def _bases() -> Iterator[tuple[str, int | None]]:
    for base in BASES.values():
        yield from ((base.name, sides) for sides in base.listed)


def _ways(base: str, sides: int | None) -> Iterator[tuple[Step, ...]]:
    """No steps; and, of all choices of kinds of face to raise, those that leave nothing over once
    all larger faces are capped.

    Fewest sides come first, as raised squares and pentagons turn into triangles. Each is followed
    by the body with all its triangles raised once more, where that stays clear of itself.
    """
    yield ()
    plain = solid(base, sides)
    kinds = {len(face) for face in plain.faces}
    caps = tuple(Cap(sides=kind) for kind in sorted(kinds & set(CAPPED)))
    if caps and kinds <= _KEPT | set(CAPPED):
        yield tuple(cap.model_copy(update={"turned": True}) for cap in caps)
    for size in range(len(kinds) + 1):
        for chosen in itertools.combinations(sorted(kinds & _RAISABLE), size):
            once = (*(Raise(sides=kind) for kind in chosen), *caps)
            if once and kinds - set(chosen) <= _KEPT | set(CAPPED):
                yield once
                twice = (*once, Raise(sides=3))
                if not cut_panels(apply_steps(plain, twice)).size:
                    yield twice
    if base in _SPIKED:
        for levels in range(1, _DEEPEST + 1):
            yield (Spike(sides=3, levels=levels),)


def _entry(base: str, sides: int | None, steps: tuple[Step, ...]) -> Entry:
    plain = solid(base, sides)
    body = apply_steps(plain, steps)
    kinds = Counter(len(face) for face in body.faces)
    return Entry(
        name=shape_in_words(base, sides, steps),
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
