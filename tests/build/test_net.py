"""The net: true lengths and areas, nothing on top of anything, every joint accounted for."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
import shapely

from glint.build.net import unfold
from glint.shape import polygons
from glint.shape.joints import joints, rims
from glint.shape.polyhedron import panels
from tests.build.tables import OPEN_4, RAISE_3, body

BODIES = {
    "cube": ("cube", ()),
    "icosahedron": ("icosahedron", ()),
    "spiked": ("icosahedron", (RAISE_3,)),
    "box without a lid": ("cube", (OPEN_4,)),
    "several pieces": ("rhombicuboctahedron", (RAISE_3,)),
    "spiked twice": ("cuboctahedron", (RAISE_3, RAISE_3)),
    "split": ("octahedron", ({"do": "split", "sides": 3, "frequency": 3},)),
    "capped": ("truncated cube", ({"do": "cap", "sides": 8},)),
}


@pytest.fixture(scope="module", params=BODIES)
def net(request):
    base, steps = BODIES[request.param]
    frame = body(base, steps).frame
    return frame, unfold(frame)


def test_every_panel_lies_there_once_in_its_true_shape(net):
    frame, pieces = net
    laid = [panel for piece in pieces for panel in piece.panels]
    assert sorted(panel.panel for panel in laid) == list(range(len(frame.faces)))
    areas = np.linalg.norm(polygons.area_vectors(panels(frame)), axis=1)
    for panel in laid:
        outline = frame.vertices[list(frame.faces[panel.panel])]
        for step in (1, 2):  # sides, and lengths across a corner
            true = np.linalg.norm(np.roll(outline, -step, axis=0) - outline, axis=1)
            flat = np.roll(panel.corners, -step, axis=0) - panel.corners
            assert np.linalg.norm(flat, axis=1) == pytest.approx(true)
        assert shapely.Polygon(panel.corners).area == pytest.approx(areas[panel.panel])
        assert shapely.is_ccw(shapely.LinearRing(panel.corners))


def test_nothing_lies_on_top_of_anything(net):
    _, pieces = net
    for piece in pieces:
        shapes = [shapely.Polygon(panel.corners) for panel in piece.panels]
        together = shapely.union_all(shapes).area
        assert together == pytest.approx(sum(shape.area for shape in shapes), rel=1e-6)
        assert piece.size == pytest.approx(
            np.max([panel.corners.max(axis=0) for panel in piece.panels], axis=0)
        )


def test_folded_sides_lie_on_each_other_and_hold_the_piece_together(net):
    frame, pieces = net
    found = joints(frame)
    for piece in pieces:
        place = {panel.panel: panel for panel in piece.panels}
        for fold in piece.folds:
            for number in found.panels[fold.joint]:
                panel = place[int(number)]
                ends = found.ends[fold.joint] @ panel.rotation.T + panel.shift
                assert ends == pytest.approx(fold.ends, abs=1e-9)
            assert fold.angle == found.angles[fold.joint]
        # So many folds as panels less one: the panels hang together as a tree.
        assert len(piece.folds) == len(piece.panels) - 1


def test_every_joint_is_folded_once_or_cut_twice_and_rims_are_cut(net):
    frame, pieces = net
    folds = Counter(fold.joint for piece in pieces for fold in piece.folds)
    cuts = Counter(cut.joint for piece in pieces for cut in piece.cuts)
    assert cuts.pop(-1, 0) == len(rims(frame).panels)
    assert set(folds.values()) <= {1} and set(cuts.values()) <= {2}
    assert sorted([*folds, *cuts]) == list(range(len(joints(frame).panels)))


def test_sides_that_are_glued_are_equally_long_and_name_each_other(net):
    _, pieces = net
    sides: dict[int, list] = {}
    for piece in pieces:
        for cut in piece.cuts:
            if cut.joint >= 0:
                sides.setdefault(cut.joint, []).append(cut)
            else:
                assert cut.other == -1 and math.isnan(cut.angle)
    for one, other in sides.values():
        assert (one.panel, one.other) == (other.other, other.panel)
        assert np.linalg.norm(one.ends[1] - one.ends[0]) == pytest.approx(
            np.linalg.norm(other.ends[1] - other.ends[0])
        )


def test_pieces_fit_the_paper():
    frame = body("icosahedron", (RAISE_3,)).frame
    pieces = unfold(frame, (0.10, 0.12))
    assert len(pieces) > 1
    assert all((piece.size <= np.array([0.10, 0.12]) + 1e-9).all() for piece in pieces)
    assert sum(len(piece.panels) for piece in pieces) == 60


def test_a_convex_body_of_few_panels_comes_in_one_piece():
    for base in ("tetrahedron", "cube", "octahedron", "icosahedron", "cuboctahedron"):
        assert len(unfold(body(base).frame)) == 1
