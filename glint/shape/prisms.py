"""Prisms and antiprisms whose edges are all 1, upright and centred at the origin."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from glint.shape.polyhedron import Polyhedron

FEWEST_SIDES = 3
MOST_SIDES = 12


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
