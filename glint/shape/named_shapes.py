"""The shapes of the catalogue by their names: which there are, and what a name stands for.

A scene may say `shape = "icosahedron, triangles raised"`. To read a name nothing is built, but for
the few whose place in the catalogue depends on whether their panels stay clear of each other.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from glint.errors import nearest_spelling
from glint.shape.bases import BASES, solid
from glint.shape.buildable import cut_panels
from glint.shape.steps import Step, apply_steps
from glint.shape.steps.capping import CAPPED, Cap
from glint.shape.steps.raising import Raise
from glint.shape.steps.spiking import Spike
from glint.shape.wording import shape_in_words, step_as_table

_RAISABLE = {3, 4, 5}
_KEPT = {3, 4}
_SPIKED = ("tetrahedron", "octahedron", "icosahedron")
_DEEPEST = 3


class Named(NamedTuple):
    """One shape: its name, its base, the sides of a prism or antiprism, and its steps."""

    name: str
    base: str
    sides: int | None
    steps: tuple[Step, ...]

    @property
    def table(self) -> dict[str, Any]:
        """The keys of a scene's shape table."""
        sides = {} if self.sides is None else {"sides": self.sides}
        steps = [step_as_table(step) for step in self.steps]
        return {"base": self.base, **sides, **({"steps": steps} if steps else {})}


def shapes() -> Iterator[Named]:
    """Every shape of the catalogue in its order: the solids, then prisms and antiprisms."""
    return (named for named, is_sure in _possible() if is_sure or _stays_clear(named))


def shape_named(name: str) -> Named | None:
    """The shape of this name, or None where the catalogue has none."""
    found = next((row for row in _possible() if row[0].name == name), None)
    return found[0] if found and (found[1] or _stays_clear(found[0])) else None


def nearest_name(found: str) -> str | None:
    """The name in the catalogue that is nearest to what was found, None if none is near."""
    names = [named.name for named, _ in _possible()]
    while (near := nearest_spelling(found, names)) is not None and shape_named(near) is None:
        names.remove(near)
    return near


@cache
def _possible() -> tuple[tuple[Named, bool], ...]:
    """Each shape that may be in the catalogue, and whether it is for sure."""
    return tuple(
        (Named(shape_in_words(base.name, sides, steps), base.name, sides, steps), is_sure)
        for base in BASES.values()
        for sides in base.listed
        for steps, is_sure in _ways(base.name, sides)
    )


def _ways(base: str, sides: int | None) -> Iterator[tuple[tuple[Step, ...], bool]]:
    """No steps; and, of all choices of kinds of face to raise, those that leave nothing over once
    all larger faces are capped.

    Fewest sides come first, as raised squares and pentagons turn into triangles. Each is followed
    by the body with all its triangles raised once more, if that stays clear of itself.
    """
    yield (), True
    kinds = {len(face) for face in solid(base, sides).faces}
    caps = tuple(Cap(sides=kind) for kind in sorted(kinds & set(CAPPED)))
    if caps and kinds <= _KEPT | set(CAPPED):
        yield tuple(cap.model_copy(update={"turned": True}) for cap in caps), True
    for size in range(len(kinds) + 1):
        for chosen in itertools.combinations(sorted(kinds & _RAISABLE), size):
            once = (*(Raise(sides=kind) for kind in chosen), *caps)
            if once and kinds - set(chosen) <= _KEPT | set(CAPPED):
                yield once, True
                yield (*once, Raise(sides=3)), False
    if base in _SPIKED:
        for levels in range(1, _DEEPEST + 1):
            yield (Spike(sides=3, levels=levels),), True


@cache
def _stays_clear(named: Named) -> bool:
    body = apply_steps(solid(named.base, named.sides), named.steps)
    return not cut_panels(body).size
