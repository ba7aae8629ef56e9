"""How a lamp's candela fall off from its axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

COLUMNS = 2048
FAINTEST = 1e-6
"""Share of the peak below which a beam given by its angles ends."""


@dataclass(frozen=True)
class Intensity:
    """A lamp's candela in every direction before it.

    candela: (c, g) float, cd; columns even in sin(gamma / 2) from 0 to s_end, none beyond; rows
    even in azimuth from 0 to 2 pi, both ends; a single row is a round beam
    s_end: sin(gamma / 2) of the last column
    """

    candela: Floats
    s_end: float


def from_beam(
    beam: float, field: float, *, peak: float | None = None, lumens: float | None = None
) -> Intensity:
    """A round beam with half the peak at the beam angle and a tenth at the field angle.

    beam, field: full angles, rad; peak: cd; lumens: lm, in place of the peak. The fall is
    I = peak exp(-ln 2 (2 gamma / beam)**p): p = 2 is a Gaussian, larger p a flatter top.
    """
    power = math.log(math.log(10.0) / math.log(2.0)) / math.log(field / beam)
    furthest = 0.5 * beam * (math.log(1.0 / FAINTEST) / math.log(2.0)) ** (1.0 / power)
    s_end = math.sin(min(furthest, math.pi / 2.0) / 2.0)
    gamma = 2.0 * np.arcsin(np.linspace(0.0, s_end, COLUMNS))
    shape = np.exp(-math.log(2.0) * (2.0 * gamma / beam) ** power)[None]
    if lumens is not None:
        peak = lumens / lumens_of(Intensity(shape, s_end))
    return Intensity(shape * (peak if peak is not None else 1.0), s_end)


def lumens_of(intensity: Intensity) -> float:
    """Lumens of all directions, lm.

    With s = sin(gamma / 2), a solid angle is 4 s ds dC, so even columns need no other weight
    than s; candela are linear between columns, and the integral of that is exact.
    """
    rows = intensity.candela[:-1] if len(intensity.candela) > 1 else intensity.candela
    mean = rows.mean(axis=0)
    s = np.linspace(0.0, intensity.s_end, mean.size)
    step = s[1] - s[0]
    low, high = mean[:-1], mean[1:]
    ring = low * (s[:-1] / 2 + step / 6) + high * (s[:-1] / 2 + step / 3)
    return float(8.0 * math.pi * step * ring.sum())


def candela_at(intensity: Intensity, gamma: Floats, azimuth: Floats | float = 0.0) -> Floats:
    """Candela at angles from the axis and round it, rad; linear between the table's places."""
    rows, columns = intensity.candela.shape
    place = np.sin(np.asarray(gamma, float) / 2.0) / intensity.s_end * (columns - 1)
    column = np.minimum(place.astype(int), columns - 2)
    t = place - column
    if rows == 1:
        row, next_row, u = 0, 0, 0.0
    else:
        turned = np.mod(azimuth, 2.0 * math.pi) / (2.0 * math.pi) * (rows - 1)
        row = np.minimum(np.asarray(turned).astype(int), rows - 2)
        next_row, u = row + 1, turned - row
    table = intensity.candela
    low = (1 - u) * table[row, column] + u * table[next_row, column]
    high = (1 - u) * table[row, column + 1] + u * table[next_row, column + 1]
    return np.where(place > columns - 1, 0.0, (1 - t) * low + t * high)


def smoothed(intensity: Intensity, angular_radius: float) -> Floats:
    """What a wide lens adds: (mean over a disc of directions - candela) / angular_radius**2.

    Returns (c, g) float, cd / rad**2. A lens seen under the angular radius d sends, to a point,
    the mean of its candela over a disc of directions; that is I + d**2 K, and K hardly depends on
    d. The disc is taken on the sphere, by Gauss' rule across and even steps round.
    """
    if angular_radius <= 0.0:
        return np.zeros_like(intensity.candela)
    rows, columns = intensity.candela.shape
    nodes, weights = np.polynomial.legendre.leggauss(4)
    radii = angular_radius * np.sqrt((nodes + 1.0) / 2.0)
    around = 2.0 * math.pi * (np.arange(12) + 0.5) / 12
    gamma = 2.0 * np.arcsin(np.linspace(0.0, intensity.s_end, columns))
    azimuths = 2.0 * math.pi * np.arange(rows) / max(rows - 1, 1)
    mean = np.zeros_like(intensity.candela)
    for radius, weight in zip(radii, weights / 2.0, strict=True):
        for turn in around:
            cosine = np.cos(gamma) * math.cos(radius)
            cosine += np.sin(gamma) * math.sin(radius) * math.cos(turn)
            moved = np.arccos(np.clip(cosine, -1.0, 1.0))
            if rows == 1:
                mean[0] += weight / 12 * candela_at(intensity, moved)
                continue
            across = math.sin(radius) * math.sin(turn)
            along = np.sin(gamma) * math.cos(radius)
            along -= np.cos(gamma) * math.sin(radius) * math.cos(turn)
            side = np.arctan2(across, along)
            for row, azimuth in enumerate(azimuths):
                mean[row] += weight / 12 * candela_at(intensity, moved, azimuth + side)
    return (mean - intensity.candela) / angular_radius**2
