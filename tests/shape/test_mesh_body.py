"""Whole balls from mesh files."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from glint.errors import SceneError, ShapeError
from glint.schema.read import scene_of
from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape import polygons
from glint.shape.body import MESH_DEPTH, Body, build_body
from glint.shape.cutting import cutting_pairs
from glint.shape.gluing import gluing
from glint.shape.joints import joints
from glint.shape.polyhedron import volume


def build(folder: Path, mesh: trimesh.Trimesh, ending: str = "stl", **shape: Any) -> Body:
    content = mesh.export(file_type=ending)
    data = content.encode() if isinstance(content, str) else content
    (folder / f"pear.{ending}").write_bytes(data)
    table = ShapeTable(mesh=f"pear.{ending}", **shape)
    return build_body(table, TileTable(edge_mm=25.0, panel_edge_mm=30.0), HangTable(), folder)


def edges_of(corners: np.ndarray) -> np.ndarray:
    around = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    return around[around > 0]


BOX = trimesh.creation.box((100.0, 60.0, 40.0))


def test_a_box_in_millimetres(tmp_path: Path):
    body = build(tmp_path, BOX)
    assert (len(body.panel_sides), body.tile_sides.tolist()) == (6, [4] * 6)
    assert volume(body.frame) == pytest.approx(100 * 60 * 40 * 1e-9)
    assert edges_of(body.tile_corners) == pytest.approx(0.025)
    assert (body.convex, body.closed, body.symmetry) == (True, True, 2)
    assert (body.name, body.base) == ("mesh pear.stl", "mesh")
    # In the middle of their faces, out by 2 mm.
    up = polygons.normals(body.panels)
    heights = (polygons.centres(body.tiles) - polygons.centres(body.panels)) @ up.T
    assert np.diag(heights) == pytest.approx(0.002)
    assert len(joints(body.frame).angles) == 12


def test_cut_tiles_leave_the_margin(tmp_path: Path):
    body = build(tmp_path, BOX, tiles="cut")
    margin = (0.030 - 0.025) / (2 * np.sqrt(3))
    sides = np.unique(np.round(edges_of(body.tile_corners), 7))
    assert sides == pytest.approx(np.array([0.04, 0.06, 0.1]) - 2 * margin, abs=1e-6)
    assert body.cut_to_size


def test_units(tmp_path: Path):
    metres = BOX.copy().apply_scale(1e-3)
    assert volume(build(tmp_path, metres, "glb").frame) == pytest.approx(0.24e-3)
    assert volume(build(tmp_path, BOX, "obj", scale_mm=2.0).frame) == pytest.approx(8 * 0.24e-3)
    with pytest.raises(ShapeError, match=r"shape\.scale_mm: found a mesh of 0\.0001233 m across"):
        build(tmp_path, metres, "stl")


@pytest.mark.parametrize(("tiles", "sides"), [("triangle", 3), ("square", 4), ("largest", 3)])
def test_kinds_of_tile_on_triangles(tmp_path: Path, tiles: str, sides: int):
    body = build(tmp_path, trimesh.creation.icosahedron().apply_scale(30.0), tiles=tiles)
    assert body.tile_sides.tolist() == [sides] * 20
    assert edges_of(body.tile_corners).max() <= 0.025 + 1e-9


def test_panels_too_small_stay_bare(tmp_path: Path):
    cylinder = trimesh.creation.cylinder(30.0, 100.0, sections=64)
    body = build(tmp_path, cylinder, "ply", tiles="square")
    assert 0 < len(body.tile_sides) < len(body.panel_sides)
    owner = body.panel_corners[body.tile_panel]
    up = polygons.normals(body.panels)[body.tile_panel]
    heights = np.einsum("nvk,nk->nv", body.tile_corners - owner[:, :1], up)
    assert heights == pytest.approx(0.002, abs=1e-6)


def test_what_is_refused(tmp_path: Path):
    with pytest.raises(ShapeError, match=r"shape\.mesh: found 1280 panels too small for any tile"):
        build(tmp_path, trimesh.creation.icosphere(3, 30.0))
    with pytest.raises(ShapeError, match="found 5120 flat panels; allowed: at most 5000 panels"):
        build(tmp_path, trimesh.creation.icosphere(4, 500.0))
    crossing = trimesh.util.concatenate([BOX, BOX.copy().apply_translation((13, 17, 7))])
    with pytest.raises(ShapeError, match=r"found \d+ pairs of panels .*, the first panel \d"):
        build(tmp_path, crossing)


def test_a_body_goes_out_and_comes_back(tmp_path: Path):
    spiked = ShapeTable.model_validate(
        {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
    )
    tile = TileTable(edge_mm=25.0, panel_edge_mm=30.0, recess_mm=0.0)
    first = build_body(spiked, tile, HangTable())
    faces = trimesh.Trimesh(1e3 * first.frame.vertices, first.frame.faces, process=False)
    second = build(tmp_path, faces, tiles="triangle")
    assert (len(second.tile_sides), second.symmetry, second.convex) == (60, 5, False)
    # The same tiles, each on the same panel: the file has single precision and its own order.
    middles = polygons.centres(first.tiles)
    apart = np.linalg.norm(middles[:, None] - polygons.centres(second.tiles)[None], axis=2)
    assert apart.min(axis=1) == pytest.approx(0.0, abs=1e-6)
    assert edges_of(second.tile_corners) == pytest.approx(0.025, abs=1e-7)


def test_single_precision_makes_no_panels_cut(tmp_path: Path):
    body = build(tmp_path, trimesh.creation.torus(150.0, 45.0), tiles="cut")
    assert len(body.panel_sides) == 1024
    assert not len(cutting_pairs(body.panels, MESH_DEPTH))
    assert gluing(body, ShapeTable(mesh="torus.stl", tiles="cut"), TileTable()).possible


def test_two_bodies_that_stay_clear_are_one_ball(tmp_path: Path):
    apart = trimesh.util.concatenate([BOX, BOX.copy().apply_translation((0, 0, 90))])
    body = build(tmp_path, apart)
    assert (len(body.panel_sides), body.convex) == (12, False)


def test_a_scene_finds_the_file_beside_itself(tmp_path: Path):
    from glint.scene.build import build as build_scene

    (tmp_path / "pear.stl").write_bytes(BOX.export(file_type="stl"))
    tables = {"room": {"radius_m": 4.0}, "ball": [{"shape": {"mesh": "pear.stl"}}]}
    scene = build_scene(scene_of(tables, tmp_path / "pear.toml"))
    assert len(scene.balls[0].body.tile_sides) == 6
    tables["ball"][0]["shape"]["mesh"] = "quince.stl"
    with pytest.raises(SceneError, match=r'\[\[ball\]\] 1 shape\.mesh: found "quince\.stl", no su'):
        build_scene(scene_of(tables, tmp_path / "pear.toml"))
