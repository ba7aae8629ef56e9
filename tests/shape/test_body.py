"""Whole balls from the tables of a scene file."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape import polygons
from glint.shape.body import LEAST_PROUD, Body, build_body, panelled
from glint.shape.polyhedron import edge_lengths, open_centres


def build(shape: dict[str, Any], tile: dict[str, Any] | None = None, **hang: Any) -> Body:
    return build_body(ShapeTable(**shape), TileTable(**(tile or {})), HangTable(**hang))


def problem(shape: dict[str, Any], tile: dict[str, Any] | None = None, **hang: Any) -> str:
    with pytest.raises(ShapeError) as caught:
        build(shape, tile, **hang)
    return str(caught.value)


def step(do: str, sides: int, count: int | None = None) -> dict[str, Any]:
    return {"do": do, "sides": sides, "count": count}


SPIKED = {"base": "icosahedron", "steps": [step("raise", 3)]}
BALL = {"base": "rings", "diameter_m": 0.49}
SPHERE = {"base": "geodesic", "diameter_m": 0.5, "frequency": 4}


def edges_of(corners: np.ndarray) -> np.ndarray:
    around = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    return around[around > 0]


def test_spiked_twenty():
    body = build(SPIKED)
    assert body.panel_corners.shape == body.tile_corners.shape == (60, 3, 3)
    assert body.panel_sides.tolist() == body.tile_sides.tolist() == [3] * 60
    assert body.tile_panel.tolist() == list(range(60))
    assert (body.panel_edge, body.tile_edge) == (0.032, 0.025)
    assert edges_of(body.panel_corners) == pytest.approx(0.032)
    assert edges_of(body.tile_corners) == pytest.approx(0.025)
    assert (body.convex, body.closed, body.symmetry) == (False, True, 5)
    assert not body.cut_to_size
    assert (body.name, body.base) == ("icosahedron, triangles raised", "icosahedron")


@pytest.mark.parametrize("shape", [SPIKED, BALL, SPHERE, {"base": "snub cube"}])
def test_tiles_stand_over_their_panels_by_their_thickness(shape: dict[str, Any]):
    body = build(shape, {"thickness_mm": 3.0, "recess_mm": 0.0})
    up = polygons.normals(body.tiles)
    if (body.tile_panel >= 0).all():
        panel = body.panel_corners[body.tile_panel]
        assert polygons.normals(body.panels)[body.tile_panel] == pytest.approx(up, abs=1e-9)
        height = np.einsum("nvk,nk->nv", body.tile_corners - panel[:, :1], up)
        assert height == pytest.approx(0.003)
    else:
        backs = np.einsum("mvk,nk->nmv", body.panel_corners, up)
        fronts = (polygons.centres(body.tiles) * up).sum(axis=1)
        assert (fronts[:, None, None] - backs).min() >= 0.003 - 1e-12


@pytest.mark.parametrize("shape", [SPIKED, SPHERE])
@pytest.mark.parametrize("recess, proud", [({"recess_mm": 1.25}, 1.75e-3), ({}, LEAST_PROUD)])
def test_a_pocket_takes_tiles_in(shape: dict[str, Any], recess: dict[str, float], proud: float):
    body = build(shape, {"thickness_mm": 3.0, **recess})
    up = polygons.normals(body.panels)
    height = ((polygons.centres(body.tiles) - polygons.centres(body.panels)) * up).sum(axis=1)
    # Of a geodesic sphere's panels tile and panel have their middles aside, not above each other.
    assert height == pytest.approx(proud, rel=1e-6)


def test_triangles_and_squares_share_one_width():
    body = build({"base": "cuboctahedron"})
    assert body.panel_corners.shape == body.tile_corners.shape == (14, 4, 3)
    triangles = body.tile_sides == 3
    assert triangles.sum() == 8
    assert np.array_equal(body.tile_corners[triangles, 2], body.tile_corners[triangles, 3])


def test_radius_is_the_farthest_corner():
    # Octahedron of edge 32 mm: its corners, 32 / sqrt(2) out, stand further out than its tiles'.
    assert build({"base": "octahedron"}).radius == pytest.approx(0.032 / np.sqrt(2))
    # A thick tile on a cube: corner at 12.5, 12.5 and 16 + 10 mm.
    thick = build({"base": "cube"}, {"thickness_mm": 10.0, "edge_mm": 25.0, "recess_mm": 0.0})
    assert thick.radius == pytest.approx(np.sqrt(12.5**2 * 2 + 26.0**2) * 1e-3)


def test_what_hangs_up():
    assert build({"base": "cube"}).symmetry == 3
    assert build({"base": "cube"}, by="face").symmetry == 4
    assert build({"base": "cube"}, by="edge").symmetry == 2
    assert build({"base": "truncated cube", "steps": [step("open", 8, 6)]}, by="face", sides=3)
    top = build({"base": "cube"}).panel_corners[..., 2].max()
    assert top == pytest.approx(0.016 * np.sqrt(3))


def test_an_opening_is_hung_by_unless_told_otherwise():
    bucket = {"base": "cube", "steps": [step("open", 4)]}
    body = build(bucket)
    assert (len(body.panel_sides), len(body.tile_sides)) == (5, 5)
    assert (body.closed, body.convex, body.symmetry) == (False, True, 4)
    assert polygons.centres(body.panels)[:, 2].max() < 0.01
    assert build(bucket, by="vertex").symmetry == 1


def test_openings_lie_next_to_the_hanger():
    shape = ShapeTable.model_validate({"base": "icosahedron", "steps": [step("open", 3, 5)]})
    heights = open_centres(panelled(shape, HangTable(by="vertex")))[:, 2]
    assert heights == pytest.approx(np.full(5, heights[0]))
    assert build_body(shape, TileTable(), HangTable(by="vertex")).symmetry == 5


@pytest.mark.parametrize(("base", "sides", "order"), [("snub cube", 3, 3), ("snub cube", 4, 4)])
def test_the_opened_face_is_the_most_symmetric_of_its_kind(base: str, sides: int, order: int):
    assert build({"base": base, "steps": [step("open", sides)]}).symmetry == order


def test_an_opening_in_a_raised_face_is_turned_up():
    shape = ShapeTable.model_validate({**SPIKED, "steps": [step("raise", 3), step("open", 3)]})
    frame = panelled(shape, HangTable())
    x, y, z = open_centres(frame)[0]
    assert (x, y) == pytest.approx((0, 0), abs=1e-12)
    assert z > 0


def test_tilt_breaks_the_symmetry_and_not_the_panels():
    straight, crooked = build(SPIKED), build(SPIKED, {"tilt_sd_deg": 1.0})
    assert (straight.symmetry, crooked.symmetry) == (5, 1)
    assert np.array_equal(straight.panel_corners, crooked.panel_corners)
    again = build(SPIKED, {"tilt_sd_deg": 1.0})
    other = build(SPIKED, {"tilt_sd_deg": 1.0, "seed": 8})
    assert np.array_equal(crooked.tile_corners, again.tile_corners)
    assert not np.allclose(crooked.tile_corners, other.tile_corners)


def test_ring_laid_ball():
    body = build(BALL)
    assert (body.tile_panel == -1).all()
    assert body.tile_corners.shape[1:] == body.panel_corners.shape[1:] == (4, 3)
    assert 950 < len(body.tile_sides) < 1050
    assert (body.convex, body.closed, body.cut_to_size) == (True, True, False)
    assert (body.tile_edge, body.panel_edge) == pytest.approx((0.025, 0.027))
    assert body.radius == pytest.approx(np.sqrt(0.245**2 + 2 * 0.0125**2))
    assert np.linalg.norm(body.panel_corners, axis=2) == pytest.approx(0.243)
    assert len(build({**BALL, "gap_mm": 8.0}).tile_sides) < 750


def test_geodesic_sphere():
    body = build(SPHERE)
    assert len(body.tile_sides) == 320
    assert body.cut_to_size
    assert (body.convex, body.closed, body.symmetry) == (True, True, 5)
    assert np.linalg.norm(body.panel_corners, axis=2) == pytest.approx(0.25)
    assert np.ptp(edges_of(body.tile_corners)) > 0.001
    assert body.panel_edge == pytest.approx(edges_of(body.panel_corners).mean())
    assert body.tile_edge == pytest.approx(edges_of(body.tile_corners).mean())
    # Every side of a triangle moves in by the difference of the regular pair's inscribed radii.
    assert body.panel_edge - body.tile_edge == pytest.approx(0.007, rel=0.02)
    assert build(SPHERE, by="face").symmetry == 3
    assert build(SPHERE, by="edge").symmetry == 2


def test_geodesic_sphere_with_an_opening():
    body = build({**SPHERE, "steps": [step("open", 3)]})
    assert (len(body.tile_sides), body.closed, body.symmetry) == (319, False, 3)


def test_frequency_one_is_the_icosahedron_with_the_same_margin():
    # The icosahedron of edge 32 mm has a circumradius of 32 sin(72 degrees) mm.
    diameter = 2 * 0.032 * np.sin(np.radians(72))
    sphere = build({"base": "geodesic", "diameter_m": diameter, "frequency": 1})
    solid_body = build({"base": "icosahedron"})
    assert sphere.tile_corners == pytest.approx(solid_body.tile_corners, abs=1e-12)


def test_panelled_has_unit_edges():
    frame = panelled(ShapeTable(**SPIKED), HangTable())
    assert edge_lengths(frame) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("shape", "hang", "text"),
    [
        ({"base": "dodecahedron"}, {}, "shape.steps: found 12 faces of 5 sides are left"),
        (
            {"base": "octahedron", "steps": [step("raise", 3)] * 2},
            {},
            "shape.steps: found 72 pairs of panels cut through each other",
        ),
        ({"base": "cube", "steps": [step("raise", 3)]}, {}, "shape.steps 1 sides: found 3"),
        ({"base": "prism"}, {}, "shape.sides: found nothing; allowed: a whole number from 3 to 12"),
        ({"base": "cube"}, {"by": "opening"}, 'hang.by: found "opening"'),
        ({"base": "cube"}, {"by": "face", "sides": 3}, "hang.sides: found 3"),
        ({"base": "rings"}, {}, "shape.diameter_m: found nothing; allowed: a length in metres"),
        (
            {**BALL, "steps": [step("open", 4)]},
            {},
            "shape.steps: found 1 of them; allowed: no steps",
        ),
        (BALL, {"by": "face"}, 'hang.by: found "face"; allowed: "vertex", which is a pole'),
        (BALL, {"sides": 4}, "hang.sides: found 4"),
        (
            {"base": "rings", "diameter_m": 0.02},
            {},
            "shape.diameter_m: found 0.02; allowed: at least",
        ),
        ({"base": "geodesic", "frequency": 3}, {}, "shape.diameter_m: found nothing"),
        ({"base": "geodesic", "diameter_m": 0.5}, {}, "shape.frequency: found nothing"),
        (
            {**SPHERE, "steps": [step("raise", 3)]},
            {},
            'shape.steps 1 do: found "raise"; allowed: "open": no equilateral triangles',
        ),
        (
            {**SPHERE, "diameter_m": 0.1, "frequency": 20},
            {},
            "shape.frequency: found 20, which makes panels too small for a margin of 2.0 mm",
        ),
        ({"base": "cube"}, {"by": "vertex", "sides": 4}, "hang.sides: found 4"),
    ],
)
def test_what_is_refused(shape: dict[str, Any], hang: dict[str, Any], text: str):
    assert problem(shape, **hang).startswith(text)


def test_tiles_thicker_than_a_ring_laid_ball_are_refused():
    text = problem({"base": "rings", "diameter_m": 0.08}, {"thickness_mm": 40.0})
    assert text == "tile.thickness_mm: found 40; allowed: less than 40, the ball's radius"
