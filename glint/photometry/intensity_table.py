"""A lamp's candela in every direction before it, as a table that is quick to look up.

Columns are even in s = sin(gamma / 2), gamma the angle from the axis: then no arc cosine is needed
to find one, and equal steps of s² are equal solid angles.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glint.photometry.type_c import Photometry

Floats = NDArray[np.float64]

COLUMNS = 2048
FAINTEST = 1e-6
"""Share of the peak below which a beam given by its angles ends."""

_QUARTER = math.pi / 2.0
_RINGS, _AROUND = 4, 12
_PLANES = (8, 12, 16, 18, 20, 24, 30, 36, 40, 48, 60, 72, 90, 120, 144, 180)


@dataclass(frozen=True)
class Intensity:
    """Candela of a lamp, linear between the places of a table.

    candela: (c, g) float, cd; columns even in s = sin(gamma / 2) from 0 to s_end, with no light
    beyond; rows even in azimuth from 0 to 2 pi, both included; one row alone is a round beam
    s_end: s of the last column

    Azimuth is anticlockwise for one who looks back along the axis into the lamp.
    """

    candela: Floats
    s_end: float

    @property
    def gamma(self) -> Floats:
        """Angle (g,) of each column from the axis, rad."""
        return 2.0 * np.arcsin(np.linspace(0.0, self.s_end, self.candela.shape[1]))


def from_beam(
    beam: float, field: float, *, peak: float | None = None, lumens: float | None = None
) -> Intensity:
    """A round beam of half its peak at the beam angle and a tenth at the field angle.

    beam, field: full angles, rad, field the larger. One of peak, cd, and lumens, lm, is given. The
    candela fall as peak * 2 ** -((2 gamma / beam) ** p), with p such that the field angle is
    right: 2 is a Gauss bell, more a flatter top with steeper sides. There is no light behind. With
    neither peak nor lumens the peak is 1 cd.
    """
    power = math.log(math.log2(10.0)) / math.log(field / beam)
    furthest = 0.5 * beam * math.log2(1.0 / FAINTEST) ** (1.0 / power)
    s = np.linspace(0.0, math.sin(0.5 * min(furthest, _QUARTER)), COLUMNS)
    shape = Intensity(np.exp2(-((4.0 * np.arcsin(s) / beam) ** power))[None], float(s[-1]))
    if lumens is not None:
        return scaled(shape, lumens / lumens_of(shape))
    return scaled(shape, 1.0 if peak is None else peak)


def from_lm63(photometry: Photometry) -> Intensity:
    """Measured candela, linear in between; light behind the lamp is left out.

    The photometry's own horizontal angles run the other way round than azimuth does.
    """
    lit = np.flatnonzero(photometry.candela.any(axis=0))
    if not lit.size:
        raise ValueError("a lamp without any light")
    last = min(int(lit[-1]) + 1, photometry.vertical_angles.size - 1)
    end = min(float(photometry.vertical_angles[last]), 90.0)
    s = np.linspace(0.0, math.sin(0.5 * math.radians(end)), COLUMNS)
    # Rounding must not carry the last column beyond the last angle, where there is no light.
    vertical = np.minimum(np.degrees(2.0 * np.arcsin(s)), end)
    rows = _rows_for(photometry.horizontal_angles)
    azimuth = np.linspace(0.0, 360.0, rows) if rows > 1 else np.zeros(1)
    return Intensity(photometry.candela_at(vertical, -azimuth), float(s[-1]))


def _rows_for(angles: Floats) -> int:
    """Rows of a table that meets the given angles, degrees, or else comes near them."""
    if angles.size == 1:
        return 1
    for planes in _PLANES:
        steps = angles * planes / 360.0
        if np.allclose(steps, np.round(steps), atol=1e-6):
            return planes + 1
    return _PLANES[-1] + 1


def scaled(intensity: Intensity, factor: float) -> Intensity:
    """The same beam, so many times as bright."""
    return Intensity(intensity.candela * factor, intensity.s_end)


def lumens_of(intensity: Intensity) -> float:
    """Lumens in all directions, lm: exact for a table linear in s and azimuth.

    A solid angle is 4 s ds dazimuth, so on a step of s the integral is that of a straight line
    times s.
    """
    table = intensity.candela
    mean = table[0] if len(table) == 1 else 0.5 * (table[:-1] + table[1:]).mean(axis=0)
    s = np.linspace(0.0, intensity.s_end, mean.size)
    rings = mean[:-1] * (2.0 * s[:-1] + s[1:]) + mean[1:] * (s[:-1] + 2.0 * s[1:])
    return float(8.0 * math.pi * (s[1] - s[0]) / 6.0 * rings.sum())


def candela_at(intensity: Intensity, gamma: ArrayLike, azimuth: ArrayLike = 0.0) -> Floats:
    """Candela at angles from the axis, and round it, rad; shapes as they broadcast."""
    s = np.sin(0.5 * np.asarray(gamma, float))
    turn = np.mod(np.asarray(azimuth, float) / (2.0 * math.pi), 1.0)
    return looked_up(intensity, s, turn)


def looked_up(intensity: Intensity, s: Floats, turn: Floats) -> Floats:
    """Candela at s = sin(gamma / 2) and at azimuth in whole turns, 0 to 1; as they broadcast."""
    table = intensity.candela
    rows, columns = table.shape
    place = s * ((columns - 1) / intensity.s_end)
    column = np.minimum(place.astype(np.intp), columns - 2)
    part = place - column
    if rows == 1:
        value = (1.0 - part) * table[0, column] + part * table[0, column + 1]
    else:
        level = turn * (rows - 1)
        row = np.minimum(level.astype(np.intp), rows - 2)
        aside = level - row
        low = (1.0 - part) * table[row, column] + part * table[row, column + 1]
        high = (1.0 - part) * table[row + 1, column] + part * table[row + 1, column + 1]
        value = (1.0 - aside) * low + aside * high
    return np.where(part <= 1.0, value, 0.0)


def smoothed(intensity: Intensity, angular_radius: float) -> Floats:
    """What the width of a lens adds to the candela, over the square of its angular radius.

    angular_radius: rad, of the lens as seen from where its light goes. Returns K (c, g) float,
    cd / rad², for each place of the table: the mean of the candela over a disc of directions of
    that radius is I + angular_radius² K. For small discs K is an eighth of the Laplacian of I, and
    hardly depends on the radius. Directions are taken on the sphere, across the axis too: Gauss's
    rule in solid angle, and even steps around.
    """
    table = intensity.candela
    columns_apart = 2.0 * intensity.s_end / (table.shape[1] - 1)
    # A disc smaller than the table's steps would show its kinks, not the lamp's fall of candela.
    radius = min(max(angular_radius, 3.0 * columns_apart), _QUARTER)
    nodes, weights = np.polynomial.legendre.leggauss(_RINGS)
    gamma = intensity.gamma
    place = np.linspace(0.0, 1.0, len(table))[:, None]
    sine = np.sin(gamma)
    added = np.zeros_like(table)
    for share, weight in zip(0.5 * (nodes + 1.0), 0.5 * weights, strict=True):
        away = 2.0 * math.asin(math.sin(0.5 * radius) * math.sqrt(share))
        least, across = np.sin(0.5 * (gamma - away)) ** 2, sine * math.sin(away)
        for step in range(_AROUND):
            # From the meridian towards the axis: half a turn is enough when both halves agree.
            bearing = (1.0 if len(table) == 1 else 2.0) * math.pi * (step + 0.5) / _AROUND
            s = np.sqrt(least + across * math.sin(0.5 * bearing) ** 2)
            turn = place
            if len(table) > 1:
                along = sine * math.cos(away)
                along -= np.cos(gamma) * math.sin(away) * math.cos(bearing)
                aside = np.arctan2(math.sin(away) * math.sin(bearing), along) / (2.0 * math.pi)
                turn = np.mod(place + aside, 1.0)
            added += weight / _AROUND * (looked_up(intensity, s, turn) - table)
    return added / radius**2
