"""Edges, angles, volume and convexity of bodies small enough to do by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glint.shape.bases import solid
from glint.shape.polyhedron import (
    Polyhedron,
    area,
    dihedral_angles,
    edge_length,
    edge_lengths,
    edges,
    face_centres,
    face_normals,
    has_equal_edges,
    is_convex,
    open_centres,
    rotated,
    scaled,
    volume,
)
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces


def test_cube_by_hand():
    cube = solid("cube")
    normals = face_normals(cube)
    assert sorted(map(tuple, np.round(normals).tolist())) == sorted(
        [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
    )
    assert face_centres(cube) == pytest.approx(0.5 * normals)
    assert edge_lengths(cube) == pytest.approx(np.ones(12))
    assert dihedral_angles(cube) == pytest.approx(np.full(12, np.pi / 2))
    assert (volume(cube), area(cube)) == pytest.approx((1.0, 6.0))


def test_left_and_right_of_an_edge():
    cube = solid("cube")
    ends, faces = edges(cube)
    normals = face_normals(cube)
    for (start, end), (left, right) in zip(ends, faces, strict=True):
        way = cube.vertices[end] - cube.vertices[start]
        middle = (cube.vertices[end] + cube.vertices[start]) / 2
        # Seen from outside, along the way, the left face's centre lies to the left.
        outside = normals[left] + normals[right]
        aside = np.cross(outside, way)
        assert (face_centres(cube)[left] - middle) @ aside > 0
        assert (face_centres(cube)[right] - middle) @ aside < 0


def test_valleys_are_above_half_a_turn_and_not_convex():
    # Raised octahedron: at an old edge the octahedron's angle and two tetrahedra's, arccos(-1/3)
    # and twice arccos(1/3), from the dot products of face normals of regular solids.
    spiked = raise_faces(solid("octahedron"), 3)
    angles = np.sort(dihedral_angles(spiked))
    ridge, valley = np.arccos(1 / 3), np.arccos(-1 / 3) + 2 * np.arccos(1 / 3)
    assert angles == pytest.approx(np.repeat([ridge, valley], [24, 12]))
    assert not is_convex(spiked)
    assert is_convex(solid("octahedron"))


def test_openings_have_no_area_but_close_the_volume():
    bucket = open_faces(solid("cube"), 4)
    assert not bucket.closed
    assert area(bucket) == pytest.approx(5.0)
    assert volume(bucket) == pytest.approx(1.0)
    assert is_convex(bucket)
    assert open_centres(bucket) == pytest.approx(np.array([[0.0, 0.0, 0.5]]))
    faces = edges(bucket).faces
    assert (faces == -1).sum() == 4
    assert np.isnan(dihedral_angles(bucket)).sum() == 4


def test_edges_between_two_openings_are_gone():
    trough = open_faces(solid("cube"), 4, 2)
    assert len(edges(trough).ends) == 11


def test_unequal_edges_are_told():
    cube = solid("cube")
    stretched = replace(cube, vertices=cube.vertices * [1.0, 1.0, 1.0 + 1e-6])
    assert has_equal_edges(cube)
    assert not has_equal_edges(stretched)
    assert has_equal_edges(stretched, tolerance=1e-5)


def test_turning_and_scaling():
    cube = solid("cube")
    turn = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    assert rotated(cube, turn).vertices[0] == pytest.approx(turn @ cube.vertices[0])
    large = scaled(cube, 3.0)
    assert (edge_length(large), area(large), volume(large)) == pytest.approx((3.0, 54.0, 27.0))


def test_faces_that_do_not_close_are_refused():
    cube = solid("cube")
    gaping = Polyhedron(cube.vertices, cube.faces[1:])
    with pytest.raises(ValueError, match="do not close"):
        edges(gaping)
    flipped = Polyhedron(cube.vertices, (cube.faces[0][::-1], *cube.faces[1:]))
    with pytest.raises(ValueError, match="turn the same way"):
        edges(flipped)
    doubled = Polyhedron(cube.vertices, cube.faces * 2)
    with pytest.raises(ValueError, match="do not close"):
        edges(doubled)
