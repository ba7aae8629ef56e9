"""The geodesic sphere: counts, corners and shape."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from glint.shape.bases import solid
from glint.shape.bases.geodesic import geodesic
from glint.shape.hang import hung
from glint.shape.polyhedron import edge_lengths, edges, face_normals, is_convex, panels, volume
from glint.shape.symmetry import rotation_order


@pytest.mark.parametrize("frequency", [1, 2, 3, 4, 7, 16])
def test_counts(frequency: int):
    # With T = f**2: 10 T + 2 corners, 30 T edges, 20 T triangles; twelve corners have five
    # neighbours and the others six (Coxeter, "Virus macromolecules and geodesic domes", 1971,
    # from memory).
    body = geodesic(solid("icosahedron"), frequency)
    t = frequency**2
    counts = (len(body.vertices), len(edges(body).ends), len(body.faces))
    assert counts == (10 * t + 2, 30 * t, 20 * t)
    valence = Counter(np.bincount(edges(body).ends.ravel()).tolist())
    assert valence == Counter({5: 12, 6: 10 * (t - 1)} if t > 1 else {5: 12})


@pytest.mark.parametrize("frequency", [1, 2, 5, 12])
def test_corners_lie_on_the_sphere_and_faces_look_outward(frequency: int):
    body = geodesic(solid("icosahedron"), frequency)
    assert np.linalg.norm(body.vertices, axis=1) == pytest.approx(1.0)
    assert is_convex(body)
    assert volume(body) < 4 / 3 * np.pi
    middles = panels(body).corners.mean(axis=1)
    assert ((face_normals(body) * middles).sum(axis=1) > 0).all()


def test_frequency_one_is_the_icosahedron():
    base = solid("icosahedron")
    body = geodesic(base, 1)
    assert body.faces == base.faces
    assert body.vertices * np.linalg.norm(base.vertices[0]) == pytest.approx(base.vertices)


def test_frequency_two_by_hand():
    # Chords at radius 1, from the angle a = arctan 2 between neighbouring corners of the
    # icosahedron: 2 sin(a / 4) from a corner to the middle of an edge, and between two such middles
    # 1 / golden ratio, the edge of the icosidodecahedron.
    lengths = edge_lengths(geodesic(solid("icosahedron"), 2))
    short, long = 2 * np.sin(np.arctan(2) / 4), (np.sqrt(5) - 1) / 2
    assert np.sort(lengths) == pytest.approx(np.repeat([short, long], [60, 60]))


def test_the_base_keeps_its_corners_and_its_symmetry():
    base = hung(solid("icosahedron"), "vertex")
    body = geodesic(base, 6)
    assert body.vertices[:12] == pytest.approx(base.vertices / np.linalg.norm(base.vertices[0]))
    assert rotation_order([panels(body)]) == 5
    assert rotation_order([panels(geodesic(hung(solid("icosahedron"), "face"), 6))]) == 3


def test_finer_is_rounder():
    volumes = [volume(geodesic(solid("icosahedron"), f)) for f in (1, 2, 4, 8, 16)]
    assert np.all(np.diff(volumes) > 0)
    assert volumes[-1] == pytest.approx(4 / 3 * np.pi, rel=0.01)
