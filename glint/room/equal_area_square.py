"""What is overhead as a unit square in which equal areas are equal areas.

Round surfaces go from the zenith down and about it: down is the share of the area above a point,
round its azimuth as a share of a turn. A ceiling goes from its far side to its near one and across.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Floats
from glint.room.surface import Surface


def to_square(surface: Surface, points: Floats) -> Floats:
    """Points (n, 3) of a surface on its square, each coordinate 0 to 1: (n, 2) float.

    An equal share of a cap's height is an equal share of its area (Archimedes); a cone's area
    grows with the square of the distance from its tip.
    """
    away = points - surface.centre
    if surface.kind == "flat":
        assert surface.across is not None and surface.up is not None
        down = 0.5 - away @ surface.up / surface.height
        round_ = 0.5 + away @ surface.across / (2.0 * surface.radius)
    else:
        round_ = np.mod(np.arctan2(away[:, 1], away[:, 0]) / (2.0 * math.pi), 1.0)
        if surface.kind == "cap":
            down = (surface.radius - away[:, 2]) / surface.height
        else:
            down = (away[:, 2] / surface.height) ** 2
    return np.clip(np.column_stack([down, round_]), 0.0, 1.0)


def from_square(surface: Surface, square: Floats) -> Floats:
    """The points (n, 3) of a surface at places (n, 2) of its square."""
    down, round_ = square.T
    if surface.kind == "flat":
        assert surface.across is not None and surface.up is not None
        up, across = (0.5 - down) * surface.height, (2.0 * round_ - 1.0) * surface.radius
        return surface.centre + up[:, None] * surface.up + across[:, None] * surface.across
    if surface.kind == "cap":
        rise = surface.radius - down * surface.height
        out = np.sqrt(np.maximum(surface.radius**2 - rise**2, 0.0))
    else:
        rise, out = -np.sqrt(down) * surface.height, np.sqrt(down) * surface.radius
    turn = 2.0 * math.pi * round_
    return surface.centre + np.column_stack([out * np.cos(turn), out * np.sin(turn), rise])


def on_chart(surface: Surface, square: Floats) -> Floats:
    """Places (n, 2) of the square on the surface's chart, m: across and up."""
    down, round_ = square.T
    if surface.kind == "flat":
        return np.column_stack(
            [(2.0 * round_ - 1.0) * surface.radius, (0.5 - down) * surface.height]
        )
    out, turn = surface.reach * np.sqrt(down), 2.0 * math.pi * round_
    return np.column_stack([out * np.cos(turn), out * np.sin(turn)])


def even_steps(surface: Surface, side: float) -> Floats:
    """Where to cut the square's first side so that the parts are about `side` m wide: shares."""
    if surface.kind == "flat":
        return np.linspace(0.0, 1.0, max(round(surface.height / side), 1) + 1)
    if surface.kind == "cap":
        edge = math.acos(1.0 - surface.height / surface.radius)
        levels = np.linspace(0.0, edge, max(round(edge * surface.radius / side), 1) + 1)
        return (1.0 - np.cos(levels)) / (1.0 - math.cos(edge))
    slant = math.hypot(surface.radius, surface.height)
    return np.linspace(0.0, 1.0, max(round(slant / side), 1) + 1) ** 2
