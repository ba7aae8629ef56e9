"""Spiking: counts, volumes by closed form, angles, touching tips, and how deep it may go."""

from __future__ import annotations

from math import acos, pi, sqrt

import numpy as np
import pytest
import trimesh

from glint.errors import ShapeError
from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape.bases import solid
from glint.shape.body import build_body
from glint.shape.buildable import cut_panels, remarks, require_buildable
from glint.shape.joints import angle_kinds
from glint.shape.polyhedron import Polyhedron, area, edge_lengths, edges, volume
from glint.shape.steps import apply_steps, step_of
from glint.shape.steps.spiking import spike_faces

FAMILY = [
    (base, levels) for base in ("tetrahedron", "octahedron", "icosahedron") for levels in (1, 2, 3)
]


def spiked(base: str, levels: int) -> Polyhedron:
    return apply_steps(solid(base), [step_of(do="spike", sides=3, levels=levels)])


@pytest.mark.parametrize(("base", "levels"), FAMILY)
def test_the_family(base: str, levels: int):
    body, plain = spiked(base, levels), solid(base)
    count = len(plain.faces) * 6**levels
    assert len(body.faces) == count
    assert len(edges(body).ends) == count * 3 // 2
    assert len(body.vertices) == 2 + count // 2  # Euler
    assert edge_lengths(body) == pytest.approx(1.0, abs=1e-9)
    # Level k puts a tetrahedron of half the edge on each of the f 6**(k - 1) triangles, of edge
    # 2**(levels - k + 1) in the end: the sum over the levels, with sqrt(2) / 12 for edge 1.
    grown = sum(len(plain.faces) * 6 ** (k - 1) * 8 ** (levels - k) for k in range(1, levels + 1))
    assert volume(body) == pytest.approx(8**levels * volume(plain) + grown * sqrt(2) / 12)
    assert area(body) == pytest.approx(count * sqrt(3) / 4)
    require_buildable(body)


@pytest.mark.parametrize(("base", "levels"), FAMILY[:5])
def test_as_trimesh_sees_it(base: str, levels: int):
    body = spiked(base, levels)
    other = trimesh.Trimesh(body.vertices, body.faces, process=False)
    assert other.is_watertight and other.is_winding_consistent
    assert other.volume == pytest.approx(volume(body))
    assert other.area == pytest.approx(area(body))


def test_one_level_on_a_tetrahedron_is_the_compound_of_two():
    # The middles of the faces of a tetrahedron carry the tips of its mirror image, which has the
    # same size: the eight outermost corners are those of a cube.
    body = spiked("tetrahedron", 1)
    far = np.linalg.norm(body.vertices, axis=1)
    corners = body.vertices[far > far.max() - 1e-9]
    assert len(corners) == 8
    apart = np.sort(np.linalg.norm(corners[:, None] - corners[None], axis=2), axis=1)
    edge = 2 / sqrt(2)
    assert apart[:, 1:] == pytest.approx(np.tile(edge * np.sqrt([1, 1, 1, 2, 2, 2, 3]), (8, 1)))


def test_angles():
    # A small tetrahedron's own angle arccos(1/3) at its slant edges, and it beside the panels
    # around it; the base's angle stays at its edges.
    sharp, base, valley = angle_kinds(spiked("icosahedron", 1))
    assert sharp.angle == pytest.approx(acos(1 / 3))
    assert base.angle == pytest.approx(acos(-sqrt(5) / 3))
    assert valley.angle == pytest.approx(pi + acos(1 / 3))
    assert (sharp.count, base.count, valley.count) == (60, 60, 60)


def test_tips_touch_and_nothing_cuts():
    # On both sides of a valley of 109.47 degrees a spike rises at 54.74: they meet in an edge.
    assert remarks(spiked("octahedron", 1)) == ""
    for base, valleys in (("tetrahedron", 12), ("octahedron", 24), ("icosahedron", 60)):
        assert remarks(spiked(base, 2)) == f"{valleys} pairs of tips touch"
    assert len(cut_panels(spiked("octahedron", 3))) == 0


def test_spikes_in_a_sharper_valley_cut():
    # Between two raised faces of an icosahedron 80.8 degrees are left, less than the 109.47 that
    # two levels of spikes need.
    steps = [step_of(do="raise", sides=3), step_of(do="spike", sides=3, levels=2)]
    with pytest.raises(ShapeError, match="pairs of panels cut through each other, the first tri"):
        require_buildable(apply_steps(solid("icosahedron"), steps))


def test_only_some_are_spiked_and_the_rest_is_split():
    steps = [
        step_of(do="spike", sides=3, levels=2, count=5),
        step_of(do="split", sides=3, frequency=4),
    ]
    body = apply_steps(solid("icosahedron"), steps)
    assert len(body.faces) == 5 * 36 + 15 * 16
    require_buildable(body)
    with pytest.raises(ShapeError, match=r"15 faces of 3 sides with edges 4 times .*frequency = 4"):
        require_buildable(apply_steps(solid("icosahedron"), steps[:1]))


def test_other_faces_and_too_many_levels_are_refused():
    with pytest.raises(ShapeError, match=r"shape\.steps sides: found 4; allowed: 3 "):
        spike_faces(solid("cube"), 4)
    with pytest.raises(ShapeError, match="found 25920 panels; allowed: at most 5000"):
        spike_faces(solid("icosahedron"), 3, 4)


def test_the_largest_of_the_family_is_built_with_all_its_symmetry():
    shape = ShapeTable(base="icosahedron", steps=(step_of(do="spike", sides=3, levels=3),))
    body = build_body(shape, TileTable(), HangTable())
    assert (len(body.tile_sides), body.symmetry) == (4320, 5)
