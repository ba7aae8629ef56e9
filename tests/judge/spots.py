"""Spots told apart by the chain of tiles that made them: flux, middle and size, from photons."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tests.judge.maps import DomeMap, FloorMap, Landed
from tests.judge.room import DOME, FLOOR, SURFACES, Room

# Small cells keep the edges sharp; the pairs they hold are unbiased however few.
PAIRS_PER_CELL = 4


class SpotRow(NamedTuple):
    """One chain's light on one surface.

    lumens and their standard error; position (3,) m, the mean over the light (a chord's middle, so
    a little inside a curved surface); lit_area m2, where the illuminance is more than `lit` of its
    light-weighted mean; even_area m2, (int E)^2 / int E^2, the area of an evenly lit spot as strong
    and as bright; both are NaN on the wall and for spots of fewer than 100 photons. moment_area m2,
    from the second moments (ISO 11146-1): pi times the product of two standard deviations each way,
    which for an even disc is its area; of a curved spot, that of its two widest directions.
    """

    chain: tuple[int, ...]
    surface: str
    photons: int
    lumens: float
    error: float
    position: np.ndarray
    lit_area: float
    even_area: float
    moment_area: float


def spots(landed: Landed, room: Room, lit: float = 0.5, per_cell: int = 50) -> list[SpotRow]:
    """A row a chain and surface, brightest first. per_cell: photons per cell when the lit area
    is found, which is only as sharp as the cells: a spot of n photons has about n / per_cell.
    """
    if not len(landed.lumens):
        return []
    keys = np.column_stack([landed.surface.astype(np.int64), landed.chain])
    found, group = np.unique(keys, axis=0, return_inverse=True)
    order = np.argsort(group.ravel(), kind="stable")
    pieces = np.split(order, np.cumsum(np.bincount(group.ravel(), minlength=len(found)))[:-1])
    rows = []
    for (surface, *chain), members in zip(found, pieces, strict=True):
        lumens, position = landed.lumens[members], landed.position[members]
        total = float(lumens.sum())
        lit_area, even_area = _areas(position, lumens, int(surface), room, lit, per_cell)
        rows.append(
            SpotRow(
                chain=tuple(int(tile) for tile in chain if tile >= 0),
                surface=SURFACES[surface],
                photons=len(members),
                lumens=total,
                # Landing in this spot or not is rare and by chance: the error of a Poisson sum.
                error=float(np.sqrt(np.square(lumens).sum())),
                position=lumens @ position / total,
                lit_area=lit_area,
                even_area=even_area,
                moment_area=_moment_area(position, lumens),
            )
        )
    return sorted(rows, key=lambda row: -row.lumens)


def _moment_area(position: np.ndarray, lumens: np.ndarray) -> float:
    weight = lumens / lumens.sum()
    apart = position - weight @ position
    variances = np.linalg.eigvalsh((apart * weight[:, None]).T @ apart)
    return float(4 * np.pi * np.sqrt(max(variances[1], 0.0) * variances[2]))


def _areas(
    position: np.ndarray, lumens: np.ndarray, surface: int, room: Room, lit: float, per_cell: int
) -> tuple[float, float]:
    if surface not in (DOME, FLOOR) or len(lumens) < 100:
        return float("nan"), float("nan")
    chart = (DomeMap if surface == DOME else FloorMap)(room, 1)
    # The map of one texel gives places in units of its side, on an equal-area plane.
    side = 2 * chart.half
    flat = np.column_stack(chart.cells(position.T)) * side
    if not np.ptp(flat, axis=0).min() > 0:
        return float("nan"), float("nan")
    index, area = _cells(flat, PAIRS_PER_CELL)
    sums, squares = np.bincount(index, lumens), np.bincount(index, lumens**2)
    # A photon paired with itself says nothing of the illuminance: leave those pairs out.
    pairs = float((sums**2 - squares).sum())
    if not pairs > 0:
        return float("nan"), float("nan")
    even_area = float(lumens.sum()) ** 2 / pairs * area
    mean = float(lumens.sum()) / even_area
    index, area = _cells(flat, per_cell)
    lighted = np.bincount(index, lumens) > lit * mean * area
    return float(np.count_nonzero(lighted) * area), even_area


def _cells(flat: np.ndarray, per_cell: int) -> tuple[np.ndarray, float]:
    """Square cell each of the points (n, 2) lies in (n,) int, and the area of a cell, m2."""
    low, high = flat.min(0), flat.max(0)
    side = float(np.sqrt(np.prod(high - low) * per_cell / len(flat)))
    across = np.floor((flat - low) / side).astype(np.int64)
    return across[:, 0] * (across[:, 1].max() + 1) + across[:, 1], side**2
