"""What every base is: a body that steps start from, or a ball laid without panels.

A base is registered by `register` in a file of this folder, or as one more row of a file that has
many. `solid` makes those that are polyhedra.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from glint.errors import ShapeError, in_words, listed, nearest_spelling
from glint.shape.polyhedron import Polyhedron

_TILINGS = ("glued", "cut to size", "laid")


@dataclass(frozen=True, eq=False)
class Base:
    """One base of shapes.

    name: in a scene file. frame: its polyhedron with edge 1, centred at the origin, from the number
    of sides (None for most); None where there is no polyhedron.
    takes, needs: keys of a shape that go with it, and those it cannot do without.
    tiling: "glued": one regular tile on each panel; "cut to size": one tile on each panel, cut to
    it, on a ball of a given diameter; "laid": tiles on a sphere, without panels and steps.
    refined: makes the panels out of the frame once that hangs, by a frequency.
    words: its usual name, from the number of sides.
    listed: the numbers of sides with which the catalogue has it; none if it is left out.
    """

    name: str
    frame: Callable[[int | None], Polyhedron] | None
    takes: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    tiling: Literal["glued", "cut to size", "laid"] = "glued"
    refined: Callable[[Polyhedron, int], Polyhedron] | None = None
    words: Callable[[int | None], str] | None = None
    listed: tuple[int | None, ...] = (None,)

    @property
    def keys(self) -> tuple[str, ...]:
        """All keys of a shape that go with it."""
        steps = () if self.tiling == "laid" else ("steps",)
        return (*self.takes, *self.needs, *steps)

    def polyhedron(self, sides: int | None = None) -> Polyhedron:
        """Its frame; the same object each time. Raises ShapeError where it has none, or where the
        number of sides does not go with it."""
        return _frame(self, sides)

    def in_words(self, sides: int | None) -> str:
        """Its usual name, as "pentagonal prism"."""
        return self.words(sides) if self.words else self.name


BASES: dict[str, Base] = {}
"""Every base by its name, those with glued panels first."""


def register(base: Base) -> None:
    """Add a base."""
    BASES[base.name] = base
    ordered = sorted(BASES.values(), key=lambda one: _TILINGS.index(one.tiling))
    BASES.clear()
    BASES.update({one.name: one for one in ordered})


def solid(name: str, sides: int | None = None) -> Polyhedron:
    """A base whose panels are glued, with edge 1, centred at the origin; `sides` is for "prism"
    and "antiprism" only.

    Vertices stand highest first; faces with fewest sides first. Raises ShapeError.
    """
    known = {base.name: base for base in BASES.values() if base.tiling == "glued"}
    if name not in known:
        near = nearest_spelling(name, known)
        raise ShapeError("shape.base", in_words(name), listed(known), near)
    return known[name].polyhedron(sides)


@cache
def _frame(base: Base, sides: int | None) -> Polyhedron:
    if base.frame is None:
        raise ShapeError("shape.base", in_words(base.name), "a base that has panels")
    if sides is not None and "sides" not in base.keys:
        raise ShapeError("shape.sides", in_words(sides), f'nothing: a "{base.name}" has its own')
    made = base.frame(sides)
    made.vertices.setflags(write=False)
    return made
