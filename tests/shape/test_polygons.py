"""Padded polygons: padding changes nothing that is measured."""

from __future__ import annotations

import numpy as np
import pytest

from glint.shape import polygons

VERTICES = np.array([[0, 0, 2], [3, 0, 2], [3, 4, 2], [0, 4, 2], [9, 9, 9]], dtype=float)


def test_gather_repeats_the_last_corner():
    made = polygons.gather(VERTICES, [(0, 1, 2, 3), (0, 1, 2)])
    assert made.sides.tolist() == [4, 3]
    assert np.array_equal(made.corners[1], VERTICES[[0, 1, 2, 2]])


def test_padding_changes_neither_middle_nor_area_nor_normal():
    narrow = polygons.gather(VERTICES, [(0, 1, 2)])
    wide = polygons.widen(narrow, 7)
    assert wide.corners.shape == (1, 7, 3)
    # A right triangle of sides 3, 4, 5: centroid a third along, area 6.
    for made in (narrow, wide):
        assert polygons.centres(made)[0] == pytest.approx([2.0, 4 / 3, 2.0])
        assert polygons.area_vectors(made)[0] == pytest.approx([0.0, 0.0, 6.0])
        assert polygons.normals(made)[0] == pytest.approx([0.0, 0.0, 1.0])


def test_widen_to_less_keeps_all():
    made = polygons.gather(VERTICES, [(0, 1, 2, 3)])
    assert polygons.widen(made, 3) is made


def test_no_faces_are_no_polygons():
    made = polygons.gather(VERTICES, [])
    assert made.corners.shape[0] == 0
    assert polygons.centres(made).shape == (0, 3)


@pytest.mark.parametrize(
    "axis", [(0, 0, 1), (0, 0, -1), (1, 0, 0), (0.6, 0, -0.8), (-0.48, 0.6, 0.64)]
)
def test_a_frame_along_an_axis_is_right_handed_and_square(axis):
    frame = polygons.frame_along(np.array(axis, float))
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)
    assert frame[2] == pytest.approx(axis)
