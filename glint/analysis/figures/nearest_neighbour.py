"""How regularly spots lie: Clark & Evans' R, from the distances to nearest neighbours.

P. J. Clark & F. C. Evans, "Distance to nearest neighbor as a measure of spatial relationships in
populations", Ecology 35 (1954), 445-453: n points strewn at random over a large area A are
sqrt(A / n) / 2 from their nearest neighbours on average. R is the mean distance over that: 1 at
random, 0 where all lie on top of each other, up to 2.1491 for a triangular lattice, where every
point has six neighbours alike.

Points near a rim have neighbours on one side only. K. P. Donnelly, "Simulations to determine the
variance and edge-effect of total nearest neighbor distance" (in I. Hodder, ed., "Simulation
Studies in Archaeology", 1978, 91-95; his coefficients from memory) adds to the expected mean
(0.0514 + 0.041 / sqrt(n)) L / n for a rim of length L. He found them for flat rectangles; a dome
differs from one by its curvature, which matters little as neighbours are near.
"""

from __future__ import annotations

import math

import numpy as np

from glint.analysis.definitions import at_an_instant
from glint.analysis.instant import Instant
from glint.kernels.arrays import Floats
from glint.room.overhead import Overhead

FEWEST = 3
"""Points that neighbours are told of."""

_STEPS = 720  # of a rim


@at_an_instant(
    key="regularity",
    name="regularity",
    better="more",
    column=55,
    wins="has the most regular pattern",
    says=(
        "Mean distance of visible spots overhead to their nearest neighbours, over that of as many "
        "points strewn at random (Clark & Evans 1954, with Donnelly's correction for the rim): 1 "
        "at random, less in clumps, up to 2.149 for a triangular lattice."
    ),
)
def regularity(now: Instant) -> float:
    roof = now.setting.roof
    return clark_evans(now.above, roof.area, rim_length(roof))


def clark_evans(points: Floats, area: float, rim: float) -> float:
    """R of points (n, 3), m, on a surface of so many m**2 with a rim of so many m, 0 for none.

    NaN of fewer than three points.
    """
    from scipy.spatial import KDTree

    count = len(points)
    if count < FEWEST:
        return math.nan
    nearest = KDTree(points).query(points, 2)[0][:, 1]
    expected = 0.5 * math.sqrt(area / count)
    expected += (0.0514 + 0.041 / math.sqrt(count)) * rim / count
    return float(nearest.mean()) / expected


def rim_length(surface: Overhead) -> float:
    """Length of the rim of what is overhead, m: of the sides of its square that are no seam."""
    along = np.linspace(0.0, 1.0, _STEPS + 1)
    ends = [np.column_stack(pair) for end in (0.0, 1.0) for pair in _sides(along, end)]
    near, left, far, right = (surface.from_square(end)[:, :3] for end in ends)
    sides = [near, far] if np.allclose(left, right) else [near, left, far, right]
    return sum(float(np.linalg.norm(np.diff(side, axis=0), axis=1).sum()) for side in sides)


def _sides(along: Floats, end: float) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    fixed = np.full_like(along, end)
    return (fixed, along), (along, fixed)
