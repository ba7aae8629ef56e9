"""Prisms and antiprisms whose edges are all 1, upright and centred at the origin."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from glint.errors import ShapeError, in_words
from glint.shape.bases.base import Base, register
from glint.shape.polyhedron import Polyhedron

FEWEST_SIDES = 3
MOST_SIDES = 12

_NAMES = {
    3: "triangular",
    4: "square",
    5: "pentagonal",
    6: "hexagonal",
    7: "heptagonal",
    8: "octagonal",
    9: "nonagonal",
    10: "decagonal",
    11: "hendecagonal",
    12: "dodecagonal",
}


def prism(sides: int) -> Polyhedron:
    """Two regular polygons, one straight above the other, joined by squares."""
    upper = _ring(sides, 0.0, 0.5)
    lower = _ring(sides, 0.0, -0.5)
    around = [(i, sides + i, sides + j, j) for i, j in _neighbours(sides)]
    return _capped(upper, lower, around)


def antiprism(sides: int) -> Polyhedron:
    """Two regular polygons, the lower turned by half a side, joined by equilateral triangles."""
    half = math.pi / (2 * sides)
    height = math.sqrt(1.0 - 0.25 / math.cos(half) ** 2)
    upper = _ring(sides, 0.0, height / 2)
    lower = _ring(sides, 2 * half, -height / 2)
    around = [(i, sides + i, j) for i, j in _neighbours(sides)]
    around += [(j, sides + i, sides + j) for i, j in _neighbours(sides)]
    return _capped(upper, lower, around)


def _ring(sides: int, start: float, height: float) -> np.ndarray:
    """Corners (sides, 3) of a level regular polygon with edge 1, anticlockwise from above."""
    azimuth = start + 2 * math.pi * np.arange(sides) / sides
    radius = 0.5 / math.sin(math.pi / sides)
    return np.stack(
        [radius * np.cos(azimuth), radius * np.sin(azimuth), np.full(sides, height)], axis=1
    )


def _neighbours(sides: int) -> list[tuple[int, int]]:
    return [(i, (i + 1) % sides) for i in range(sides)]


def _capped(upper: np.ndarray, lower: np.ndarray, around: Sequence[tuple[int, ...]]) -> Polyhedron:
    sides = len(upper)
    top = tuple(range(sides))
    bottom = tuple(range(2 * sides - 1, sides - 1, -1))
    return Polyhedron(np.concatenate([upper, lower]), (top, *around, bottom))


def _with_sides(name: str, make: Callable[[int], Polyhedron]) -> Callable[..., Polyhedron]:
    def frame(sides: int | None) -> Polyhedron:
        if sides is None or not FEWEST_SIDES <= sides <= MOST_SIDES:
            allowed = f"a whole number from {FEWEST_SIDES} to {MOST_SIDES} for a {name}"
            raise ShapeError("shape.sides", in_words(sides), allowed)
        return make(sides)

    return frame


# The catalogue has each body once: the square prism is the cube, the triangular antiprism the
# octahedron; the ends of prisms of 7, 9, 11 and 12 sides can be neither raised nor capped.
for _name, _make, _listed in (
    ("prism", prism, (3, 5, 6, 8, 10)),
    ("antiprism", antiprism, (4, 5, 6, 8, 10)),
):
    register(
        Base(
            _name,
            _with_sides(_name, _make),
            needs=("sides",),
            words=lambda sides, name=_name: name if sides is None else f"{_NAMES[sides]} {name}",
            listed=_listed,
        )
    )
