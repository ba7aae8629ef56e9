"""Joints of bodies small enough to do by hand."""

from __future__ import annotations

from math import acos, pi, sqrt

import numpy as np
import pytest

from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape.bases import solid
from glint.shape.body import build_body
from glint.shape.joints import angle_kinds, flat_joints, joints, neighbours, rims
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces


def test_cuboctahedron():
    # A triangle and a square meet at every edge, at pi - arccos(1 / sqrt(3)): their normals are
    # (1, 1, 1) / sqrt(3) and (1, 0, 0).
    (kind,) = angle_kinds(solid("cuboctahedron"))
    assert (kind.sides, kind.count) == ((3, 4), 24)
    assert kind.angle == pytest.approx(pi - acos(1 / sqrt(3)))


def test_raised_cube():
    # Square pyramids of slant edge 1 slope by arccos(1 / sqrt(3)) and have arccos(-1/3) between
    # their faces, as half an octahedron has; two slopes and a right angle meet at an old edge.
    sharp, valley = angle_kinds(raise_faces(solid("cube"), 4))
    assert (sharp.count, valley.count) == (24, 12)
    assert sharp.angle == pytest.approx(acos(-1 / 3))
    assert valley.angle == pytest.approx(pi / 2 + 2 * acos(1 / sqrt(3)))


def test_who_meets_whom():
    cube = solid("cube")
    assert [len(row) for row in neighbours(cube)] == [4] * 6
    for panel, row in enumerate(neighbours(cube)):
        opposite = set(range(6)) - set(row) - {panel}
        assert len(opposite) == 1
    panels, ends, _ = joints(cube)
    for (left, right), (start, end) in zip(panels, ends, strict=True):
        for panel in (left, right):
            corners = cube.vertices[list(cube.faces[panel])]
            for point in (start, end):
                assert np.linalg.norm(corners - point, axis=1).min() < 1e-12


def test_openings_have_rims_and_no_joints():
    bucket = open_faces(solid("cube"), 4)
    assert len(joints(bucket).angles) == 8
    assert len(rims(bucket).panels) == 4
    assert rims(bucket).ends[..., 2] == pytest.approx(0.5)
    assert len(rims(solid("cube")).panels) == 0
    assert not np.isnan(joints(bucket).angles).any()


def test_flat_joints():
    # A tetrahedron and an octahedron have supplementary angles (Euclid), so their faces align.
    assert flat_joints(raise_faces(solid("octahedron"), 3, 1)) == 3
    assert flat_joints(solid("octahedron")) == 0


def test_a_built_ball_has_its_joints():
    shape = ShapeTable.model_validate(
        {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
    )
    body = build_body(shape, TileTable(), HangTable())
    found = joints(body.frame)
    assert len(found.angles) == 90
    assert np.linalg.norm(found.ends[:, 0] - found.ends[:, 1], axis=1) == pytest.approx(0.032)
    assert np.array_equal(body.frame.vertices[list(body.frame.faces[7])], body.panel_corners[7])
