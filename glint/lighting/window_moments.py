"""First and second moments of the windows that make a spot."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers


class Moments(NamedTuple):
    """Middles and spreads of windows, weighted by the light that passes.

    pieces: (b, 3) float, m, middle of each beam's window
    middle: (s, 3) float, m, of all windows of a spot
    across: (s, 2, 3) float, two unit axes across the line from the apex through the middle
    spread: (s, 2, 2) float, m**2, second moments of the windows as seen from the apex
    """

    pieces: Floats
    middle: Floats
    across: Floats
    spread: Floats


def moments(beams: Beams, start: Integers) -> Moments:
    """Moments of the windows of each spot, whose beams are start[i] to start[i + 1]."""
    first = start[:-1]
    owner = np.repeat(np.arange(len(first)), np.diff(start))
    weight = beams.lumens / np.add.reduceat(beams.lumens, first)[owner]
    corners = _closed(beams)
    apex = beams.apex
    pieces = _centroid(corners)
    middle = np.add.reduceat(weight[:, None] * pieces, first, axis=0)
    # Small errors of the weighted middle would leave its plane: none are left on a single window.
    chief = middle - apex[first]
    near = np.linalg.norm(chief, axis=1)
    chief = chief / near[:, None]
    across = _across(chief)
    local = corners - apex[:, None]
    depth = np.einsum("bvk,bk->bv", local, chief[owner])
    flat = np.einsum("bvk,bak->bva", local, across[owner]) * (near[owner, None] / depth)[..., None]
    mean, square = _flat_moments(flat)
    centre = np.add.reduceat(weight[:, None] * mean, first, axis=0)
    raw = np.add.reduceat(weight[:, None, None] * square, first, axis=0)
    spread = raw - centre[:, :, None] * centre[:, None, :]
    return Moments(pieces, middle, across, spread)


def _closed(beams: Beams) -> Floats:
    """Corners (b, V, 3) with the last repeated to the end of each row."""
    place = np.minimum(np.arange(beams.window.shape[1]), beams.sides[:, None] - 1)
    return np.take_along_axis(beams.window, place[..., None], axis=1)


def _centroid(corners: Floats) -> Floats:
    """Centroids of flat convex polygons in space: (b, 3) float."""
    one = corners[:, 1:-1] - corners[:, :1]
    two = corners[:, 2:] - corners[:, :1]
    area = np.linalg.norm(np.cross(one, two), axis=2)
    total = area.sum(axis=1, keepdims=True)
    middle = np.einsum("bt,btk->bk", area, one + two) / (3.0 * np.maximum(total, 1e-300))
    return np.asarray(corners[:, 0] + middle, float)


def _across(chief: Floats) -> Floats:
    helper = np.eye(3)[np.argmin(np.abs(chief), axis=1)]
    one = np.cross(chief, helper)
    one /= np.linalg.norm(one, axis=1, keepdims=True)
    return np.asarray(np.stack([one, np.cross(chief, one)], axis=1), float)


def _flat_moments(flat: Floats) -> tuple[Floats, Floats]:
    """Mean (b, 2) and mean square (b, 2, 2) of a point in each polygon, about the origin.

    A triangle's mean square is that of its corners, weighted 1 to 3 with its middle
    (exact for polynomials of degree two).
    """
    a, b, c = flat[:, :1], flat[:, 1:-1], flat[:, 2:]
    first, second = b - a, c - a
    area = np.abs(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])
    share = area / np.maximum(area.sum(axis=1, keepdims=True), 1e-300)
    middle = (a + b + c) / 3.0
    mean = np.einsum("bt,btk->bk", share, middle)
    square = 0.75 * np.einsum("bt,bti,btj->bij", share, middle, middle)
    for corner in (np.broadcast_to(a, b.shape), b, c):
        square += np.einsum("bt,bti,btj->bij", share, corner, corner) / 12.0
    return mean, square
