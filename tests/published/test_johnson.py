"""The Johnson solids against published figures, and against a library's own coordinates."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from coxeter.families import JohnsonSolids  # its data: the vertices of all 92, by their names

from glint.shape.bases import solid
from glint.shape.bases.johnson import CORNERS
from glint.shape.polyhedron import dihedral_angles, edges, is_convex, volume

# Number of Johnson (1966), corners, edges, triangles: counts of his table. Volume for an edge of 1
# and the kinds of dihedral angle, degrees, as commonly published, from memory.
PUBLISHED = {
    "triangular bipyramid": (5, 9, 6, 0.235702, {70.529: 6, 141.058: 3}),
    "pentagonal bipyramid": (7, 15, 10, 0.603006, {74.755: 5, 138.190: 10}),
    "gyroelongated square bipyramid": (10, 24, 16, 1.428405, {127.552: 8, 158.572: 8, 109.471: 8}),
    "triaugmented triangular prism": (9, 21, 14, 1.140119, {109.471: 12, 144.736: 3, 169.471: 6}),
    "snub disphenoid": (8, 18, 12, 0.859494, {96.198: 4, 121.743: 12, 166.441: 2}),
}


@pytest.mark.parametrize("name", CORNERS)
def test_as_published(name):
    corners, sides, triangles, content, angles = PUBLISHED[name]
    body = solid(name)
    ends, faces = edges(body)
    assert (len(body.vertices), len(ends)) == (corners, sides)
    assert [len(face) for face in body.faces] == [3] * triangles
    assert (faces >= 0).all() and is_convex(body)
    lengths = np.linalg.norm(np.diff(body.vertices[ends], axis=1)[:, 0], axis=1)
    assert lengths == pytest.approx(1.0, abs=1e-12)
    assert body.vertices.mean(axis=0) == pytest.approx(0.0, abs=1e-12)
    assert volume(body) == pytest.approx(content, abs=1e-6)
    found = Counter(np.round(np.degrees(dihedral_angles(body)), 3).tolist())
    assert found == Counter(angles)


@pytest.mark.parametrize("name", CORNERS)
def test_all_distances_between_corners_are_those_of_the_library(name):
    theirs = JohnsonSolids.get_shape(name.title()).vertices
    ours = solid(name).vertices
    assert distances(ours) == pytest.approx(distances(theirs), abs=1e-6)


def distances(points):
    """All distances between corners (n, 3), in the least of them, from small to large."""
    found = np.linalg.norm(points[:, None] - points, axis=2)
    found = np.sort(found[np.triu_indices(len(points), 1)])
    return found / found[0]
