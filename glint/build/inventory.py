"""Tiles and panels by kind, as one orders or cuts them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.build.hours import with_spares
from glint.shape.polygons import Polygons
from glint.shape.wording import face_name

_ALIKE = 1e-5  # metres to which two sides are equally long


class Kind(NamedTuple):
    """Polygons that are all alike. sides: lengths, m, in their order round; needed, with_spares:
    how many.
    """

    name: str
    sides: tuple[float, ...]
    needed: int
    with_spares: int


def kinds(shapes: Polygons, spare_percent: float) -> tuple[Kind, ...]:
    """How many there are of each kind, fewest corners first, then largest."""
    counts: dict[tuple[int, ...], int] = {}
    lengths: dict[tuple[int, ...], tuple[float, ...]] = {}
    for corners, count in zip(*shapes, strict=True):
        outline = corners[:count]
        sides = np.linalg.norm(np.roll(outline, -1, axis=0) - outline, axis=1)
        key, order = _least_turn(np.round(sides / _ALIKE).astype(int).tolist())
        counts[key] = counts.get(key, 0) + 1
        lengths.setdefault(key, tuple(float(sides[i]) for i in order))
    ordered = sorted(counts, key=lambda key: (len(key), [-side for side in key]))
    return tuple(
        Kind(
            face_name(len(key)),
            lengths[key],
            counts[key],
            with_spares(counts[key], spare_percent),
        )
        for key in ordered
    )


def _least_turn(sides: list[int]) -> tuple[tuple[int, ...], list[int]]:
    """The sides read from the corner from which they come first in order, so that polygons that
    are only turned read alike; mirror images do not. Where each side stood.
    """
    count = len(sides)
    orders = [[(start + k) % count for k in range(count)] for start in range(count)]
    best = min(orders, key=lambda order: [sides[i] for i in order])
    return tuple(sides[i] for i in best), best
