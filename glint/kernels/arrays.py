"""The plain arrays that go in and out of the kernels."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

LONGEST_CHAIN = 8
"""Most mirrors that a chain may have."""

MOST_CORNERS = 16
"""Most corners of a window. A window that would need more loses its smallest corner."""


class Polygons(NamedTuple):
    """Every panel and tile of a pose, in the room's frame; the polygons of a ball are consecutive.

    corners: (n, V, 3) float, m, anticlockwise seen from the front; short rows repeat their last
    sides: (n,) int, corners in use
    normals: (n, 3) float, unit, towards the front
    reflectance: (n,) float, of mirrors; 0 on panels
    mirror: (n,) bool, a tile if true, else a panel
    ball: (n,) int
    """

    corners: Floats
    sides: Integers
    normals: Floats
    reflectance: Floats
    mirror: Flags
    ball: Integers


class OccluderLists(NamedTuple):
    """For each polygon, the polygons of its ball that rise in front of its plane.

    start: (n + 1,) int; the list of polygon i is index[start[i]:start[i + 1]], nearest first
    index: (k,) int
    """

    start: Integers
    index: Integers


class Lamps(NamedTuple):
    """Every lamp of a scene.

    position: (l, 3) float, m, of the lens centre
    frame: (l, 3, 3) float, rows: two axes in the lens and the optical axis, right-handed
    lens_radius: (l,) float, m
    colour: (l, 3) float, linear RGB of luminance 1
    lumens: (l,) float, lm
    candela: (l, c, g) float, cd, even in azimuth (0 to 2 pi, both ends) and in sin(gamma / 2)
    spread: (l, c, g) float, cd / rad**2, what a disc of angular radius d adds, over d**2
    planes: (l,) int, rows of candela in use; one row is a round beam
    sine_end: (l,) float, sin(gamma / 2) of the last column; no light beyond
    sphere: (l,) float, 1 for a small sphere that looks alike from every side, 0 for a flat lens
    """

    position: Floats
    frame: Floats
    lens_radius: Floats
    colour: Floats
    lumens: Floats
    candela: Floats
    spread: Floats
    planes: Integers
    sine_end: Floats
    sphere: Floats


NO_LAMPS = Lamps(
    np.zeros((0, 3)),
    np.zeros((0, 3, 3)),
    np.zeros(0),
    np.zeros((0, 3)),
    np.zeros(0),
    np.zeros((0, 1, 2)),
    np.zeros((0, 1, 2)),
    np.zeros(0, np.int64),
    np.zeros(0),
    np.zeros(0),
)


class Beams(NamedTuple):
    """Light that leaves its last tile for the room: one row a beam.

    lamp: (b,) int
    ball: (b,) int, of the last tile
    bounces: (b,) int, mirrors in the chain
    chain: (b, LONGEST_CHAIN) int, polygon of each mirror, -1 beyond the last
    apex: (b, 3) float, m, the mirrored lens centre
    frame: (b, 3, 3) float, the mirrored lens frame, rows as in Lamps.frame
    window: (b, MOST_CORNERS, 3) float, m, convex
    sides: (b,) int, corners of the window in use
    share: (b,) float, what the mirrors leave: the product of their reflectances
    lumens: (b,) float, lm, through the window after the last mirror
    """

    lamp: Integers
    ball: Integers
    bounces: Integers
    chain: Integers
    apex: Floats
    frame: Floats
    window: Floats
    sides: Integers
    share: Floats
    lumens: Floats


NO_BEAMS = Beams(
    np.zeros(0, np.int64),
    np.zeros(0, np.int64),
    np.zeros(0, np.int64),
    np.zeros((0, LONGEST_CHAIN), np.int64),
    np.zeros((0, 3)),
    np.zeros((0, 3, 3)),
    np.zeros((0, MOST_CORNERS, 3)),
    np.zeros(0, np.int64),
    np.zeros(0),
    np.zeros(0),
)


class Fates(NamedTuple):
    """What became of the light that met a mirror, lm, by lamp and by number of mirrors before.

    reached: (l, LONGEST_CHAIN + 1) float, arriving on the k-th mirror of a chain (k from 1)
    absorbed: (l, LONGEST_CHAIN + 1) float, in the k-th mirror
    caught: (l, LONGEST_CHAIN + 1) float, by panels and backs of tiles after k mirrors
    cut_off: (l, LONGEST_CHAIN + 1) float, after k mirrors: too many mirrors, or too faint
    """

    reached: Floats
    absorbed: Floats
    caught: Floats
    cut_off: Floats
