"""The room as triangles.

Rims are cut into the same parts everywhere, so that surfaces that meet share their corners and the
room is closed. Triangles are anticlockwise seen from inside the room.
"""

from __future__ import annotations

import numpy as np

from glint.room.room import Room
from glint.room.surface import Mesh

GRAIN = 1e-9
"""Corners that lie as close as this, m, are one."""


def mesh(room: Room) -> Mesh:
    """The whole room as one closed mesh; its surfaces in their order, normals into the room."""
    parts = [surface.mesh() for surface in room.surfaces]
    counts = [0, *np.cumsum([len(part.corners) for part in parts])[:-1]]
    corners = np.concatenate([part.corners for part in parts])
    triangles = np.concatenate([p.triangles + n for p, n in zip(parts, counts, strict=True)])
    grains = np.round(corners / GRAIN).astype(np.int64)
    _, first, one = np.unique(grains, axis=0, return_index=True, return_inverse=True)
    return Mesh(corners[first], one.ravel()[triangles])
