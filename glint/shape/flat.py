"""A flat polygon in space laid on paper, its outer face up."""

from __future__ import annotations

import numpy as np

from glint.shape import polygons


def laid_flat(corners: np.ndarray) -> np.ndarray:
    """Corners (k, 2) float of a flat polygon (k, 3), in the same unit and anticlockwise: the first
    corner in the origin, the first side along +x.
    """
    return (corners - corners[0]) @ flat_frame(corners).T


def flat_frame(corners: np.ndarray) -> np.ndarray:
    """The paper's x and y, (2, 3) float, in space: along the first side, and to its left as seen
    from outside.
    """
    along = polygons.unit(corners[1] - corners[0])
    spokes = corners - corners[0]
    out = polygons.unit(np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0))
    return np.stack([along, np.cross(out, along)])
