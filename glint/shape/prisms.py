"""Upright prisms on convex faces: whether two of them run into each other."""

from __future__ import annotations

import numpy as np

_PARALLEL = 1e-9  # sine of the angle between edges that give no direction of their own


def prisms_meet(
    first: np.ndarray,
    first_out: np.ndarray,
    second: np.ndarray,
    second_out: np.ndarray,
    height: float,
    depth: float,
) -> np.ndarray:
    """Whether two prisms share more than their surfaces, pair by pair: (p,) bool.

    first, second: (p, V, 3), their outer faces; corners may repeat. first_out, second_out: (p, 3),
    unit, the directions they stand up in; height: of all, m. depth: how deep they must go into each
    other to count, m.

    Two convex solids are apart if and only if they are along a normal of a face of either, or along
    the cross product of an edge of each (separating axis theorem; Gottschalk, Lin and Manocha,
    "OBBTree", 1996).
    """
    solids = [
        np.concatenate([faces, faces - height * out[:, None]], axis=1)
        for faces, out in ((first, first_out), (second, second_out))
    ]
    directions = []
    ways = []
    for faces, out in ((first, first_out), (second, second_out)):
        along = _unit(np.roll(faces, -1, axis=1) - faces)
        ways.append(np.concatenate([along, out[:, None]], axis=1))
        directions.append(np.cross(along, out[:, None]))
        # A face that is not quite at right angles to where the prism stands has a normal too.
        directions.append(_unit(_area_vectors(faces))[:, None])
    directions.append(np.cross(ways[0][:, :, None], ways[1][:, None]).reshape(len(first), -1, 3))
    axes = np.concatenate(directions, axis=1)
    lengths = np.linalg.norm(axes, axis=2, keepdims=True)
    usable = lengths > _PARALLEL
    axes = axes / np.where(usable, lengths, 1.0)
    low, high = [], []
    for solid in solids:
        places = np.einsum("pak,pvk->pav", axes, solid)
        low.append(places.min(axis=2))
        high.append(places.max(axis=2))
    shared = np.minimum(high[0], high[1]) - np.maximum(low[0], low[1])
    return ((shared > depth) | ~usable[..., 0]).all(axis=1)


def _unit(vectors: np.ndarray) -> np.ndarray:
    """Vectors (..., 3) scaled to length 1; none stays none, as between corners that repeat."""
    lengths = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return vectors / np.where(lengths > 0.0, lengths, 1.0)


def _area_vectors(faces: np.ndarray) -> np.ndarray:
    """Area vectors of faces (p, V, 3): (p, 3)."""
    middle = faces.mean(axis=1, keepdims=True)
    spokes = faces - middle
    return np.cross(spokes, np.roll(spokes, -1, axis=1)).sum(axis=1)
