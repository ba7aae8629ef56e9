"""Tiles and panels by kind, as one orders or cuts them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.build.hours import with_spares
from glint.shape.face_names import face_name
from glint.shape.polygons import Polygons

_ALIKE = 1e-5  # metres to which two sides are equally long


class Kind(NamedTuple):
    """Polygons that are all alike. regular: whether all sides and angles are alike. sides: lengths,
    m, in their order round; needed, with_spares: how many.
    """

    name: str
    regular: bool
    sides: tuple[float, ...]
    needed: int
    with_spares: int


def kinds(shapes: Polygons, spare_percent: float) -> tuple[Kind, ...]:
    """How many there are of each kind, fewest corners first, then largest."""
    found: dict[tuple[int, ...], Kind] = {}
    for corners, count in zip(*shapes, strict=True):
        outline = corners[:count]
        sides = np.linalg.norm(np.roll(outline, -1, axis=0) - outline, axis=1)
        # With the sides, the lengths across one corner fix the shape.
        across = np.linalg.norm(np.roll(outline, -2, axis=0) - outline, axis=1)
        key, order = _least_turn(np.round(np.stack([sides, across], axis=1) / _ALIKE).astype(int))
        regular = len({*key[::2]}) == len({*key[1::2]}) == 1
        name = face_name(count) if regular or count == 3 else f"{count}-sided piece"
        kind = found.get(key, Kind(name, regular, tuple(sides[order].tolist()), 0, 0))
        found[key] = kind._replace(needed=kind.needed + 1)
    ordered = sorted(found, key=lambda key: (len(key), [-length for length in key]))
    return tuple(
        found[key]._replace(with_spares=with_spares(found[key].needed, spare_percent))
        for key in ordered
    )


def _least_turn(lengths: np.ndarray) -> tuple[tuple[int, ...], list[int]]:
    """The rows of lengths (k, 2) in their order round, from the corner from which they come first,
    so that polygons that are only turned read alike; mirror images do not. Where each row stood.
    """
    count = len(lengths)
    orders = [[(start + k) % count for k in range(count)] for start in range(count)]
    best = min(orders, key=lambda order: lengths[order].ravel().tolist())
    return tuple(lengths[best].ravel().tolist()), best
