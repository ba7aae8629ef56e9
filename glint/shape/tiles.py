"""The mirror tiles glued on panels: smaller, standing proud, and perhaps a little crooked."""

from __future__ import annotations

import numpy as np

from glint.shape import polygons
from glint.shape.polygons import Polygons


def glued(panels: Polygons, share: float, proud: float) -> Polygons:
    """A tile in the middle of each regular panel, `share` as large, its mirror out by `proud`."""
    middles = polygons.centres(panels)[:, None]
    out = polygons.normals(panels)[:, None] * proud
    return Polygons(middles + share * (panels.corners - middles) + out, panels.sides)


def cut_to_size(panels: Polygons, margin: float, proud: float) -> Polygons:
    """A tile on each triangular panel, out by `proud`, cut so that `margin` stays free along every
    side.

    The triangle shrinks about the centre of its inscribed circle, whose radius must be larger than
    the margin (see `inscribed`).
    """
    middles, radii = inscribed(panels)
    share = (1.0 - margin / radii)[:, None, None]
    out = polygons.normals(panels)[:, None] * proud
    middles = middles[:, None]
    return Polygons(middles + share * (panels.corners - middles) + out, panels.sides)


def inscribed(triangles: Polygons) -> tuple[np.ndarray, np.ndarray]:
    """Centre (n, 3) and radius (n,) of the inscribed circle of each triangle."""
    corners = triangles.corners
    opposite = np.linalg.norm(np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1), axis=2)
    around = opposite.sum(axis=1)
    middles = np.einsum("nv,nvk->nk", opposite, corners) / around[:, None]
    areas = np.linalg.norm(polygons.area_vectors(triangles), axis=1)
    return middles, 2 * areas / around


def tilted(tiles: Polygons, deviation: float, seed: int) -> Polygons:
    """Each tile turned about two axes in its plane, at right angles, by normally distributed angles
    with standard deviation `deviation` (radians), then lifted so that its lowest corner stands
    where the whole tile stood. The same seed gives the same tiles.
    """
    if deviation == 0.0:
        return tiles
    corners = tiles.corners
    middles = polygons.centres(tiles)[:, None]
    up = polygons.normals(tiles)
    along = polygons.unit(corners[:, 0] - middles[:, 0])
    angles = np.random.default_rng(seed).normal(scale=deviation, size=(len(corners), 2))
    turns = angles[:, :1] * along + angles[:, 1:] * np.cross(up, along)
    turned = _rotated(corners - middles, turns)
    heights = np.einsum("nvk,nk->nv", turned, up)
    lifted = turned - heights.min(axis=1)[:, None, None] * up[:, None]
    return Polygons(middles + lifted, tiles.sides)


def _rotated(offsets: np.ndarray, turns: np.ndarray) -> np.ndarray:
    """Offsets (n, V, 3) turned by rotation vectors (n, 3), radians (Rodrigues' formula)."""
    angles = np.linalg.norm(turns, axis=1)[:, None, None]
    axes = turns[:, None]
    sine_over = np.sinc(angles / np.pi)
    versine_over = 0.5 * np.sinc(angles / (2 * np.pi)) ** 2
    along = (axes * offsets).sum(axis=2, keepdims=True)
    return (
        np.cos(angles) * offsets + sine_over * np.cross(axes, offsets) + versine_over * along * axes
    )
