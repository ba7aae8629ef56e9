"""What can be glued together, and what the message says if something cannot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.buildable import (
    irregular,
    remarks,
    require_buildable,
    require_joints,
    unfinished,
)
from glint.shape.polyhedron import panels
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces


def problem(body) -> str:
    with pytest.raises(ShapeError) as caught:
        require_buildable(body)
    assert caught.value.key == "shape.steps"
    return str(caught.value)


def test_good_bodies_pass():
    for body in (
        solid("cube"),
        solid("snub cube"),
        raise_faces(solid("rhombicosidodecahedron"), 5),
        open_faces(solid("prism", 8), 8, 2),
    ):
        require_buildable(body)


def test_faces_left_are_named_with_the_steps_that_deal_with_them():
    assert problem(solid("dodecahedron")) == (
        'shape.steps: found 12 faces of 5 sides are left; allowed: add { do = "raise", sides = 5 }'
    )
    assert problem(solid("rhombicosidodecahedron")) == (
        "shape.steps: found 12 faces of 5 sides are left; allowed: "
        'add { do = "raise", sides = 5 } or { do = "open", sides = 5, count = 12 }'
    )
    assert problem(solid("prism", 6)) == (
        "shape.steps: found 2 faces of 6 sides are left; allowed: "
        'add { do = "cap", sides = 6 } or { do = "open", sides = 6, count = 2 }'
    )
    assert problem(solid("truncated icosahedron")) == (
        "shape.steps: found 12 faces of 5 sides and 20 faces of 6 sides are left; allowed: "
        'add { do = "raise", sides = 5 }; '
        'and { do = "cap", sides = 6 }'
    )
    assert unfinished(solid("truncated icosahedron")) == {5: 12, 6: 20}
    assert unfinished(solid("cuboctahedron")) == {}


def test_one_face_left():
    body = open_faces(solid("dodecahedron"), 5, 11)
    assert "found 1 face of 5 sides" in problem(body)


def test_the_remedies_work():
    require_buildable(raise_faces(solid("dodecahedron"), 5))
    require_buildable(open_faces(solid("rhombicosidodecahedron"), 5, 12))
    require_buildable(open_faces(raise_faces(solid("truncated icosahedron"), 5), 6, 20))


def test_panels_that_cut_are_named():
    text = problem(raise_faces(raise_faces(solid("octahedron"), 3), 3))
    assert "72 pairs of panels cut through each other, the first triangle 1 and triangle 5" in text


def test_sides_and_angles_are_held_to_a_billionth():
    cube = solid("cube")
    stretched = replace(cube, vertices=cube.vertices * [1.0, 1.0, 1.0 + 4e-9])
    assert "4 faces with unequal sides or angles" in problem(stretched)
    require_buildable(replace(cube, vertices=cube.vertices * [1.0, 1.0, 1.0 + 4e-10]))


def test_a_rhombus_is_no_square():
    # Sheared along its top so that all edges stay 1.
    lean = np.array([[1.0, 0.0, np.sin(0.1)], [0.0, 1.0, 0.0], [0.0, 0.0, np.cos(0.1)]])
    cube = solid("cube")
    sheared = replace(cube, vertices=cube.vertices @ lean.T)
    assert irregular(panels(sheared)).size == 2
    assert "2 faces with unequal sides or angles" in problem(sheared)


def test_a_long_triangle_is_told():
    body = raise_faces(solid("cube"), 4, 1)
    higher = body.vertices.copy()
    higher[-1, 2] += 1e-6
    steep = replace(body, vertices=higher)
    assert [len(steep.faces[i]) for i in irregular(panels(steep))] == [3, 3, 3, 3]


def test_joints_outside_a_range_are_named():
    # At a raised icosahedron's slant edges arccos(1/3) = 70.53 degrees, in its valleys the base's
    # 138.19 and twice as much again.
    spiked = raise_faces(solid("icosahedron"), 3)
    require_joints(spiked, np.radians(70), np.radians(280))
    with pytest.raises(ShapeError) as caught:
        require_joints(spiked, np.radians(40), np.radians(270))
    assert caught.value.key == "tile.joint_deg"
    assert str(caught.value).startswith(
        "tile.joint_deg: found 30 joints of 279.2 degrees inside the body, the first between "
        "triangle "
    )
    assert str(caught.value).endswith("; allowed: 40 to 270 degrees, as joint_deg says")
    with pytest.raises(ShapeError, match=r"found 90 joints of 70\.53, 279\.2 degrees"):
        require_joints(spiked, np.radians(100), np.radians(200))


def test_a_range_takes_its_own_ends():
    require_joints(solid("cube"), np.radians(90), np.radians(90))


def test_remarks():
    assert remarks(solid("cube")) == ""
    assert remarks(raise_faces(solid("octahedron"), 3, 1)) == "3 joints lie flat"
