"""The room as triangles: closed, facing inwards, and as large as its surfaces."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from glint.room.bell import bell
from glint.room.dome import dome
from glint.room.mesh import mesh
from glint.room.surface import AROUND

GREY = np.full(3, 0.5)

POLYGON = 0.5 * AROUND * math.sin(2 * math.pi / AROUND)
"""Area of the regular polygon in a circle of radius 1."""


def as_trimesh(found):
    return trimesh.Trimesh(*found, process=False)


@given(st.floats(0.5, 100), st.floats(0.1, 1), st.sampled_from([0.0, 0.3, 2.5, 20.0]))
def test_every_dome_is_closed_and_faces_inwards(radius, share, wall):
    room = dome(radius, max(share * radius, 0.1), wall, GREY, GREY, 0.3)
    found = as_trimesh(mesh(room))
    assert found.is_watertight
    assert found.is_winding_consistent
    assert found.volume < 0
    assert len(found.faces) == sum(len(s.mesh().triangles) for s in room.surfaces)


def test_a_tent_of_a_cone_is_closed_and_as_large_as_it_should_be():
    found = as_trimesh(mesh(bell(2.0, 2.0, 1.5, 0.0, GREY, GREY, 0.3)))
    assert found.is_watertight
    # A pyramid and a prism on the polygon of the rim.
    volume = POLYGON * 4.0 * (1.5 + 2.0 / 3.0)
    assert found.volume == pytest.approx(-volume, rel=1e-9)


def test_surfaces_of_a_dome_come_near_to_their_own_area():
    """Corners lie on the surface, so a mesh is a little too small, by the square of its step."""
    for surface in dome(4.0, 3.0, 0.8, GREY, GREY, 0.3).surfaces:
        area = as_trimesh(surface.mesh()).area
        assert 0.998 * surface.area < area < surface.area, surface.name


def test_normals_point_into_the_room():
    for surface in dome(4.0, 3.0, 0.8, GREY, GREY, 0.3).surfaces:
        found = as_trimesh(surface.mesh())
        inwards = np.array([0.0, 0.0, 1.0]) - found.triangles_center
        assert (np.einsum("ij,ij->i", found.face_normals, inwards) > 0).all(), surface.name
