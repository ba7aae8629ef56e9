"""Silhouettes of bodies seen straight along an axis of symmetry, edges straight outwards."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from glint.kernels.geometry.silhouette import star_silhouette


def rosette(petals: int, rings: int) -> np.ndarray:
    """Triangles and their neighbours about an axis, in rings: edges between petals run straight
    away from it. (n, 3, 3) float, m, of radius 0.1."""
    turns = 2.0 * np.pi * np.arange(petals + 1) / petals
    rim = np.stack([np.cos(turns), np.sin(turns), 0.0 * turns], axis=1)
    found = []
    for ring in range(rings):
        near, far = 0.1 * ring / rings, 0.1 * (ring + 1) / rings
        for one, other in itertools.pairwise(rim):
            found.append([near * one, far * one, far * other])
            found.append([near * one, far * other, near * other])
    return np.array(found)


@pytest.mark.parametrize("petals", [6, 8, 12])
@pytest.mark.parametrize("seed", range(12))
def test_edges_that_run_straight_outwards_are_no_outline(petals, seed):
    corners = rosette(petals, 5)
    # Rounding, as a body has that was turned there.
    corners += np.random.default_rng(seed).normal(0.0, 1e-18, corners.shape)
    sides = np.full(len(corners), 3)
    lens = np.array([0.0, 0.0, -20.0])
    ring = star_silhouette(corners, sides, lens, np.eye(3), np.zeros(3), 0.004)
    # A regular polygon of so many corners on a circle.
    area = 0.5 * petals * (0.1 / 20.0) ** 2 * np.sin(2.0 * np.pi / petals)
    assert np.linalg.norm(ring, axis=1).max() == pytest.approx(0.1 / 20.0)
    assert shapely.Polygon(ring).area == pytest.approx(area, rel=1e-9)
