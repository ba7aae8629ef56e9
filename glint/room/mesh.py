"""The room as triangles: one function for each kind of surface.

Rims are cut into the same parts everywhere, so that surfaces that meet share their corners and the
room is closed. Triangles are anticlockwise seen from inside the room.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.room.room import Room
from glint.room.surface import Floats, Surface

AROUND = 96
"""Parts of a rim: the area of a disc comes out 0.07 % too small."""

UPWARDS = 24
"""Rings of a cap."""

GRAIN = 1e-9
"""Corners that lie as close as this, m, are one."""


class Mesh(NamedTuple):
    """Triangles. corners: (v, 3) float, m; triangles: (t, 3) int, anticlockwise from the front."""

    corners: Floats
    triangles: NDArray[np.int64]


def mesh(room: Room) -> Mesh:
    """The whole room as one closed mesh; its surfaces in their order, normals into the room."""
    parts = [surface_mesh(surface) for surface in room.surfaces]
    counts = [0, *np.cumsum([len(part.corners) for part in parts])[:-1]]
    corners = np.concatenate([part.corners for part in parts])
    triangles = np.concatenate([p.triangles + n for p, n in zip(parts, counts, strict=True)])
    grains = np.round(corners / GRAIN).astype(np.int64)
    _, first, one = np.unique(grains, axis=0, return_index=True, return_inverse=True)
    return Mesh(corners[first], one.ravel()[triangles])


def surface_mesh(surface: Surface) -> Mesh:
    """One surface as triangles. Raises KeyError for a kind that has no function in KINDS."""
    return KINDS[surface.kind](surface)


def cap(surface: Surface) -> Mesh:
    """Rings at even steps of the angle from the zenith, seen from below."""
    lowest = math.acos(1.0 - surface.height / surface.radius)
    angles = lowest * np.arange(1, UPWARDS + 1) / UPWARDS
    rings = [
        _ring(surface.centre, surface.radius * math.sin(a), surface.radius * math.cos(a))
        for a in angles
    ]
    top = surface.centre + np.array([0.0, 0.0, surface.radius])
    return _rounds(top, rings, downwards=True)


def disc(surface: Surface) -> Mesh:
    """A fan about the middle, seen from above."""
    return _rounds(surface.centre, [_ring(surface.centre, surface.radius, 0.0)], downwards=False)


def cylinder(surface: Surface) -> Mesh:
    """One band from the lower rim to the upper, seen from the axis."""
    rims = [_ring(surface.centre, surface.radius, z) for z in (surface.height, 0.0)]
    return Mesh(np.concatenate(rims), _band(0, AROUND))


def cone(surface: Surface) -> Mesh:
    """A fan about the tip, which is the centre, down to the rim; seen from below."""
    rim = _ring(surface.centre, surface.radius, -surface.height)
    return _rounds(surface.centre, [rim], downwards=True)


def flat(surface: Surface) -> Mesh:
    """Two triangles, seen from the side that faces the room."""
    assert surface.across is not None and surface.up is not None
    across, up = surface.radius * surface.across, surface.height / 2.0 * surface.up
    sides = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    corners = np.array([surface.centre + a * across + b * up for a, b in sides])
    return Mesh(corners, np.array([[0, 1, 2], [0, 2, 3]]))


KINDS: dict[str, Callable[[Surface], Mesh]] = {
    "cap": cap,
    "disc": disc,
    "cylinder": cylinder,
    "cone": cone,
    "flat": flat,
}


def _ring(centre: Floats, radius: float, height: float) -> Floats:
    """Corners of a level ring, anticlockwise seen from above, from +x: (AROUND, 3) float."""
    turns = 2.0 * math.pi * np.arange(AROUND) / AROUND
    offsets = [radius * np.cos(turns), radius * np.sin(turns), np.full(AROUND, height)]
    return centre + np.column_stack(offsets)


def _rounds(middle: Floats, rings: list[Floats], downwards: bool) -> Mesh:
    """A fan about a middle and bands from ring to ring, seen from below or from above."""
    here = np.arange(AROUND)
    after = (here + 1) % AROUND
    fan = np.column_stack([np.zeros(AROUND, np.int64), after + 1, here + 1])
    bands = [_band(1 + AROUND * k, 1 + AROUND * (k + 1)) for k in range(len(rings) - 1)]
    triangles = np.concatenate([fan, *bands])
    corners = np.concatenate([middle[None], *rings])
    return Mesh(corners, triangles if downwards else triangles[:, ::-1])


def _band(upper: int, lower: int) -> NDArray[np.int64]:
    """Two triangles a part between an upper and a lower ring, seen from the axis."""
    here = np.arange(AROUND)
    after = (here + 1) % AROUND
    first = np.column_stack([upper + here, upper + after, lower + after])
    second = np.column_stack([upper + here, lower + after, lower + here])
    return np.stack([first, second], axis=1).reshape(-1, 3)
