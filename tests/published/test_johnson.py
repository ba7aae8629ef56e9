"""The Johnson solids against published figures, and against coxeter's own coordinates."""

from __future__ import annotations

import numpy as np
import pytest
from coxeter.families import JohnsonFamily

from glint.shape.bases import solid
from glint.shape.bases.johnson import CORNERS
from glint.shape.polyhedron import dihedral_angles, edges, is_convex, volume

# Corners, edges and triangles, the volume for an edge of 1, and the dihedral angles in degrees, as
# commonly published, from memory.
PUBLISHED = {
    "triangular bipyramid": (5, 9, 6, 0.235702, {70.529, 141.058}),
    "pentagonal bipyramid": (7, 15, 10, 0.603006, {74.755, 138.190}),
    "gyroelongated square bipyramid": (10, 24, 16, 1.428405, {109.471, 127.552, 158.572}),
    "triaugmented triangular prism": (9, 21, 14, 1.140119, {109.471, 144.736, 169.471}),
    "snub disphenoid": (8, 18, 12, 0.859494, {96.198, 121.743, 166.441}),
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
    assert {*np.round(np.degrees(dihedral_angles(body)), 3).tolist()} == angles


@pytest.mark.parametrize("name", CORNERS)
def test_all_distances_between_corners_are_those_of_coxeter(name):
    theirs = JohnsonFamily.get_shape(name.title().replace("Bi", "Di")).vertices
    ours = solid(name).vertices
    assert distances(ours) == pytest.approx(distances(theirs), abs=1e-6)


def distances(points):
    """All distances between corners (n, 3), in the least of them, from small to large."""
    found = np.linalg.norm(points[:, None] - points, axis=2)
    found = np.sort(found[np.triu_indices(len(points), 1)])
    return found / found[0]
