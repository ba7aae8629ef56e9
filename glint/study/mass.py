"""What a ball's mirrors weigh."""

from __future__ import annotations

import numpy as np

from glint.rig.scene import Ball
from glint.shape.polygons import area_vectors

GLASS = 2500.0
"""Density of soda-lime glass, kg/m**3 (EN 572-1)."""


def grams(ball: Ball, thickness: float) -> float:
    """Grams of mirror glass on a ball; thickness of the tiles, m."""
    faces = np.linalg.norm(area_vectors(ball.body.tiles), axis=1)
    return float(faces.sum()) * thickness * GLASS * 1000.0
