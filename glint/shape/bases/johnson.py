"""Johnson solids: convex, of regular polygons, and neither uniform nor prisms nor antiprisms.

Numbers: N. W. Johnson, "Convex polyhedra with regular faces", Canadian Journal of Mathematics 18
(1966), 169-200, whose dipyramids (from memory) are bipyramids today. These five are of equilateral
triangles alone: with the tetrahedron, the octahedron and the icosahedron they are all convex
deltahedra (Freudenthal & van der Waerden 1947, from memory). Another one is another row of
`CORNERS`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np

from glint.shape.bases.base import Base, register
from glint.shape.bases.hull import hull
from glint.shape.bases.prisms import antiprism, prism
from glint.shape.polyhedron import Polyhedron


def _bipyramid(sides: int) -> np.ndarray:
    """A ring and two tips on its axis, each an edge away from the ring."""
    ring = prism(sides).vertices[:sides] * (1.0, 1.0, 0.0)
    tip = math.sqrt(1.0 - np.sum(ring[0] ** 2))
    return np.vstack([ring, (0.0, 0.0, tip), (0.0, 0.0, -tip)])


def _gyroelongated_square_bipyramid() -> np.ndarray:
    """A square pyramid, 1 / sqrt(2) high, on both ends of an antiprism."""
    middle = antiprism(4).vertices
    tip = middle[0, 2] + math.sqrt(0.5)
    return np.vstack([middle, (0.0, 0.0, tip), (0.0, 0.0, -tip)])


def _triaugmented_triangular_prism() -> np.ndarray:
    """A square pyramid on each of the three sides of a prism, which are 1 / sqrt(12) off its axis.

    The sides lie between the corners, so opposite the third one.
    """
    middle = prism(3).vertices
    outward = -middle[:3] * (1.0, 1.0, 0.0)
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    return np.vstack([middle, outward * (math.sqrt(1.0 / 12.0) + math.sqrt(0.5))])


def _snub_disphenoid() -> np.ndarray:
    """Two opposite edges, at right angles, and two corners beside each.

    With corners (+-1/2, 0, a) and (0, +-r, b), and the same turned by 90 degrees and upside down,
    three kinds of edge have the length 1:

        1/4 + r**2 + (a - b)**2 = 1    (r - 1/2)**2 + (a + b)**2 = 1    2 r**2 + 4 b**2 = 1

    The first two give 4 a b = r, and all three 2 r**3 - 3 r**2 - 2 r + 2 = 0, of which the root
    between 0 and 1 fits. With t = r - 1/2 it is t**3 - 7/4 t + 1/4 = 0, solved by cosines (Viete).
    """
    third = math.acos(-1.5 / 7.0 * math.sqrt(12.0 / 7.0)) / 3.0
    r = 0.5 + 2.0 * math.sqrt(7.0 / 12.0) * math.cos(third - 2.0 * math.pi / 3.0)
    b = 0.5 * math.sqrt(1.0 - 2.0 * r**2)
    a = 0.25 * r / b
    half = np.array([(0.5, 0.0, a), (-0.5, 0.0, a), (0.0, r, b), (0.0, -r, b)])
    return np.vstack([half, half[:, [1, 0, 2]] * (1.0, 1.0, -1.0)])


CORNERS: dict[str, Callable[[], np.ndarray]] = {
    "triangular bipyramid": partial(_bipyramid, 3),  # J12
    "pentagonal bipyramid": partial(_bipyramid, 5),  # J13
    "gyroelongated square bipyramid": _gyroelongated_square_bipyramid,  # J17
    "triaugmented triangular prism": _triaugmented_triangular_prism,  # J51
    "snub disphenoid": _snub_disphenoid,  # J84
}
"""Corners (n, 3) with edge 1 and their mean at the origin, by name."""


def _frame(corners: Callable[[], np.ndarray], sides: int | None) -> Polyhedron:
    return hull(corners())


for _name, _corners in CORNERS.items():
    register(Base(_name, partial(_frame, _corners)))
