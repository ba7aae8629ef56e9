"""Tiles on the panels of a mesh, which are of any convex shape."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.fitting import SMALLEST, inset, largest_regular
from glint.shape.polygons import Polygons

_DECIMALS = 7  # of a metre, to which two panels are alike


class Fitted(NamedTuple):
    """tiles: the mirror faces; panel: (n,) int, which panel each is glued on."""

    tiles: Polygons
    panel: np.ndarray


def fitted(panels: Polygons, kind: str, edge: float, margin: float, proud: float) -> Fitted:
    """One tile on each panel that has room for one, all lengths in metres.

    kind: "triangle" or "square" for the largest of that shape with at most `edge`; "largest" for
    whichever of the two has the greater area; "cut" for a tile cut to the panel. `margin` stays
    free along every side, and the mirror stands `proud` over the panel.
    """
    normals = polygons.normals(panels)
    known: dict[tuple[float, ...], np.ndarray] = {}
    rings, places = [], []
    for i, (corners, sides) in enumerate(zip(*panels, strict=True)):
        ring = corners[:sides]
        start = _start(ring)
        ring = np.roll(ring, -start, axis=0)
        frame = _frame(ring, normals[i])
        flat = (ring - ring[0]) @ frame.T
        key = tuple(np.round(flat, _DECIMALS).ravel().tolist())
        if key not in known:
            known[key] = _tile(flat, kind, edge, margin)
        tile = known[key]
        if len(tile):
            rings.append(ring[0] + tile @ frame + proud * normals[i])
            places.append(i)
    width = max((len(ring) for ring in rings), default=3)
    padded = [np.concatenate([r, np.repeat(r[-1:], width - len(r), axis=0)]) for r in rings]
    shapes = np.array(padded).reshape(-1, width, 3)
    counts = np.array([len(ring) for ring in rings], dtype=np.int64)
    return Fitted(Polygons(shapes, counts), np.array(places, dtype=np.int64))


def _start(ring: np.ndarray) -> int:
    """The corner where the longest side starts, so that like panels are taken alike."""
    lengths = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    return int(np.argmax(lengths > lengths.max() * (1 - 1e-6)))


def _frame(ring: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Two axes (2, 3) in the panel's plane, the first along its first side."""
    along = ring[1] - ring[0]
    along = polygons.unit(along - (along @ normal) * normal)
    return np.stack([along, np.cross(normal, along)])


def _tile(panel: np.ndarray, kind: str, edge: float, margin: float) -> np.ndarray:
    """Corners (k, 2) of the tile on one panel; (0, 2) for none."""
    room = inset(panel, margin)
    if not len(room) or kind == "cut":
        return room
    choices = {"triangle": (3,), "square": (4,), "largest": (4, 3)}[kind]
    fits = [largest_regular(room, sides, edge) for sides in choices]
    areas = [fit.edge**2 * (1.0 if len(fit.corners) == 4 else np.sqrt(3) / 4) for fit in fits]
    best = fits[int(np.argmax(areas))]
    return best.corners if best.edge >= SMALLEST else np.zeros((0, 2))
