"""The Platonic and Archimedean solids, from coordinates.

Coordinates as in H. S. M. Coxeter, "Regular Polytopes" (3rd ed. 1973), and H. M. Cundy & A. P.
Rollett, "Mathematical Models" (2nd ed. 1961), chapter 3, from memory: a few points each, with all
permutations or the even ones, and all signs or half of them. The faces are the facets of the convex
hull.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import partial

import numpy as np

from glint.shape.bases.base import Base, register
from glint.shape.bases.hull import hull
from glint.shape.polyhedron import Polyhedron

Triple = tuple[float, float, float]

GOLDEN = (1 + math.sqrt(5)) / 2
SILVER = 1 + math.sqrt(2)
TRIBONACCI = (1 + math.cbrt(19 + 3 * math.sqrt(33)) + math.cbrt(19 - 3 * math.sqrt(33))) / 3
"""Root of t**3 = t**2 + t + 1, which shapes the snub cube."""

_CYCLES = ((0, 1, 2), (1, 2, 0), (2, 0, 1))
_SWAPS = ((0, 2, 1), (2, 1, 0), (1, 0, 2))
_BOTH = (1.0, -1.0)
_SIGNS: tuple[Triple, ...] = tuple((x, y, z) for x in _BOTH for y in _BOTH for z in _BOTH)


def _all(*points: Triple) -> list[Triple]:
    """Every permutation, every choice of signs."""
    return [
        _signed(point, places, signs)
        for point in points
        for places in _CYCLES + _SWAPS
        for signs in _SIGNS
    ]


def _even(*points: Triple) -> list[Triple]:
    """Even permutations, every choice of signs."""
    return [
        _signed(point, places, signs) for point in points for places in _CYCLES for signs in _SIGNS
    ]


def _half(points: Iterable[Triple], places: tuple[tuple[int, ...], ...], sign: int) -> list[Triple]:
    """Given permutations, and those choices of signs whose product is `sign`."""
    return [
        _signed(point, order, signs)
        for point in points
        for order in places
        for signs in _SIGNS
        if math.prod(signs) == sign
    ]


def _signed(point: Triple, places: tuple[int, ...], signs: Triple) -> Triple:
    # Adding 0.0 makes -0.0 into 0.0, so that equal points are the same point.
    return (
        signs[0] * point[places[0]] + 0.0,
        signs[1] * point[places[1]] + 0.0,
        signs[2] * point[places[2]] + 0.0,
    )


def _snub_cube() -> list[Triple]:
    point = (1.0, 1 / TRIBONACCI, TRIBONACCI)
    return _half([point], _CYCLES, 1) + _half([point], _SWAPS, -1)


def _snub_dodecahedron() -> list[Triple]:
    g = GOLDEN
    inner = math.sqrt(g - 5 / 27)
    xi = math.cbrt((g + inner) / 2) + math.cbrt((g - inner) / 2)  # xi**3 - 2 xi = golden ratio
    a = xi - 1 / xi
    b = xi * g + g**2 + g / xi
    points = [
        (2 * a, 2.0, 2 * b),
        (a + b / g + g, -a * g + b + 1 / g, a / g + b * g - 1),
        (a + b / g - g, a * g - b + 1 / g, a / g + b * g + 1),
        (-a / g + b * g + 1, -a + b / g - g, a * g + b - 1 / g),
        (-a / g + b * g - 1, a - b / g - g, a * g + b + 1 / g),
    ]
    return _half(points, _CYCLES, -1)


def _points() -> dict[str, Callable[[], list[Triple]]]:
    g, s = GOLDEN, SILVER
    return {
        "tetrahedron": lambda: _half([(1, 1, 1)], _CYCLES, 1),
        "cube": lambda: _all((1, 1, 1)),
        "octahedron": lambda: _all((1, 0, 0)),
        "dodecahedron": lambda: _even((1, 1, 1), (0, 1 / g, g)),
        "icosahedron": lambda: _even((0, 1, g)),
        "truncated tetrahedron": lambda: _half([(1, 1, 3)], _CYCLES, 1),
        "cuboctahedron": lambda: _all((1, 1, 0)),
        "truncated cube": lambda: _all((1 / s, 1, 1)),
        "truncated octahedron": lambda: _all((0, 1, 2)),
        "rhombicuboctahedron": lambda: _all((1, 1, s)),
        "truncated cuboctahedron": lambda: _all((1, s, 2 * s - 1)),
        "snub cube": _snub_cube,
        "icosidodecahedron": lambda: _even((0, 0, 2 * g), (1, g, g**2)),
        "truncated dodecahedron": lambda: _even((0, 1 / g, 2 + g), (1 / g, g, 2 * g), (g, 2, g**2)),
        "truncated icosahedron": lambda: _even((0, 1, 3 * g), (1, 2 + g, 2 * g), (g, 2, g**3)),
        "rhombicosidodecahedron": lambda: _even((1, 1, g**3), (g**2, g, 2 * g), (2 + g, 0, g**2)),
        "truncated icosidodecahedron": lambda: _even(
            (1 / g, 1 / g, 3 + g),
            (2 / g, g, 1 + 2 * g),
            (1 / g, g**2, 3 * g - 1),
            (2 * g - 1, 2, 2 + g),
            (g, 3, 2 * g),
        ),
        "snub dodecahedron": _snub_dodecahedron,
    }


def _frame(points: Callable[[], list[Triple]], sides: int | None) -> Polyhedron:
    return hull(np.array(sorted(set(points()), reverse=True)))


_POINTS = _points()
PLATONIC = tuple(_POINTS)[:5]
ARCHIMEDEAN = tuple(_POINTS)[5:]

for _name, _corners in _POINTS.items():
    register(Base(_name, partial(_frame, _corners)))
