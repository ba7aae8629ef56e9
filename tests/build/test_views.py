"""Pictures from three sides: what is seen is what stands in front."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely

from glint.build import views
from glint.build.views import VIEWS, seen, view_svg
from tests.build.tables import OPEN_4, RAISE_3, body

THICKNESS = 0.002


@pytest.mark.parametrize("base", ["cube", "icosahedron", "rhombicuboctahedron"])
@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_what_is_seen_covers_the_outline_once(base, view):
    ball = body(base, thickness_mm=2.0)
    parts = [part.shape for part in seen(ball, view, THICKNESS)]
    together = shapely.union_all(parts)
    assert sum(part.area for part in parts) == pytest.approx(together.area, rel=1e-5)
    basis = np.array([view.right, view.up], float)
    hull = shapely.MultiPoint(ball.panel_corners.reshape(-1, 3) @ basis.T).convex_hull
    assert together.buffer(1e-9).contains(hull.buffer(-1e-6))


def test_a_cube_hung_by_a_face_shows_one_square_from_below():
    parts = seen(body("cube", by="face"), VIEWS[2], THICKNESS)
    areas = {kind: sum(p.shape.area for p in parts if p.kind == kind) for kind in ("tile", "panel")}
    assert areas["tile"] == pytest.approx(0.025**2)
    assert areas["panel"] == pytest.approx(0.032**2 - 0.025**2)


def test_the_inside_shows_through_an_opening_only():
    box = body("cube", (OPEN_4,), by="opening")
    from_above = VIEWS[2]._replace(toward=(0, 0, 1), right=(1, 0, 0))
    kinds = {part.kind for part in seen(box, from_above, THICKNESS)}
    assert "inside" in kinds
    assert "inside" not in {part.kind for part in seen(box, VIEWS[2], THICKNESS)}


def test_spikes_hide_what_is_behind_them():
    spiked = body("icosahedron", (RAISE_3,), thickness_mm=1.0, edge_mm=20.0)
    view = VIEWS[0]
    parts = [part for part in seen(spiked, view, 0.001) if part.kind != "edge"]
    facing = 0.0
    for corners in (spiked.tile_corners, spiked.panel_corners):
        flat = corners @ np.array([view.right, view.up], float).T
        shapes = shapely.polygons(flat)
        turns = shapely.is_ccw(shapely.get_exterior_ring(shapes))
        facing += float(shapely.area(shapes[turns]).sum())
    shown = sum(part.shape.area for part in parts)
    assert shown < 0.75 * facing  # tiles hide panels, and spikes hide spikes
    outline = shapely.union_all([part.shape for part in seen(spiked, view, 0.001)])
    assert shown <= outline.area * (1 + 1e-9)


def test_the_drawing_is_well_formed_and_within_its_frame():
    root = ET.fromstring(view_svg(body("cube"), VIEWS[0], THICKNESS))
    numbers = [
        float(value)
        for path in root.iter("{http://www.w3.org/2000/svg}path")
        for point in path.attrib["d"].replace("Z", "").replace("M", "L").split("L")[1:]
        for value in point.split()
    ]
    assert len(numbers) > 20
    assert min(numbers) >= 0.0 and max(numbers) <= 100.0
    assert math.isclose(min(numbers) + max(numbers), 100.0, abs_tol=1.5)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.name)
def test_tiles_as_thick_as_half_their_edge_are_drawn(view):
    """Their narrow sides nearly touch, or cut: exact overlays may not survive that."""
    steps = ({"do": "cap", "sides": 8}, {"do": "cap", "sides": 6}, OPEN_4 | {"count": 1})
    tile = {"panel_edge_mm": 1.0, "edge_mm": 1.0, "thickness_mm": 0.5}
    ball = body("truncated cuboctahedron", steps, "opening", **tile)
    parts = [part.shape for part in seen(ball, view, 0.0005)]
    together = shapely.union_all(shapely.make_valid(np.array(parts)), grid_size=1e-12)
    assert sum(part.area for part in parts) == pytest.approx(together.area, rel=0.05)


def test_outlines_that_cross_themselves_are_cut_away_too(monkeypatch):
    exact = shapely.union_all

    def touchy(shapes, grid_size=None):
        if grid_size is None:
            raise shapely.GEOSException("side location conflict")
        return exact(shapes, grid_size=grid_size)

    monkeypatch.setattr(shapely, "union_all", touchy)
    bow = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    left = views._without(shapely.box(0, 0, 1, 1), np.array([bow]))
    assert left.area == pytest.approx(0.5)
