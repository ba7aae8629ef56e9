"""Whether thick tiles have room on their body, or cut into each other in its valleys."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.body import MESH_DEPTH, Body
from glint.shape.cutting import DEPTH, cutting_pairs
from glint.shape.polygons import Polygons

FINENESS = 1e-6
"""How closely the largest thickness is found, m."""


class Crowding(NamedTuple):
    """What cuts into what on a body.

    tiles: pairs of mirror faces, (k, 2) int; panels: pairs of panels, (k, 2) int
    thickness: the largest, m, with which no tiles would cut each other; None where they do not
    """

    tiles: np.ndarray
    panels: np.ndarray
    thickness: float | None


def crowding(body: Body, thickness: float) -> Crowding:
    """What cuts into what, its tiles being so thick (m)."""
    depth = MESH_DEPTH if body.base == "mesh" else DEPTH
    pairs, panels = cutting_pairs(body.tiles, depth), cutting_pairs(body.panels, depth)
    most = _thickest(body, thickness, np.unique(pairs)) if pairs.size else None
    return Crowding(pairs, panels, most)


def _thickest(body: Body, thickness: float, crowded: np.ndarray) -> float:
    """The largest thickness with which the crowded tiles leave each other alone, by bisection.

    Tiles of a valley come nearer to each other the higher they stand, so those that are clear of
    each other now stay so on thinner glue; and without any thickness they lie on panels.
    """
    faces = Polygons(body.tile_corners[crowded], body.tile_sides[crowded])
    glued = body.tile_panel[crowded]
    under = body.panels if (glued >= 0).all() else None
    up = polygons.normals(faces) if under is None else polygons.normals(under)[glued]
    low, high = 0.0, thickness
    while high - low > FINENESS:
        middle = 0.5 * (low + high)
        corners = faces.corners + (middle - thickness) * up[:, None]
        if cutting_pairs(Polygons(corners, faces.sides)).size:
            high = middle
        else:
            low = middle
    return low
