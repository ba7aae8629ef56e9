"""Exported geometry, read back by another library."""

from __future__ import annotations

import json
import struct

import numpy as np
import pytest
import trimesh

import glint
from glint.build.export import ENDINGS, export, geometry
from glint.errors import UsageError

SCENE = """
[room]
radius_m = 3.0
wall_m = 0.5

[[ball]]
name = "lantern"
hang = { height_m = 2.0, at_m = [0.4, -0.2] }
[ball.shape]
base = "rhombicuboctahedron"
steps = [{ do = "open", sides = 4 }, { do = "raise", sides = 3 }]

[[ball]]
name = "quince"
shape = { base = "octahedron" }
hang = { height_m = 1.2, at_m = [-0.5, 0.3] }
"""


@pytest.fixture(scope="module")
def pose(tmp_path_factory):
    path = tmp_path_factory.mktemp("scene") / "quince.toml"
    path.write_text(SCENE)
    return glint.load(path).at(degrees=17.0)


def read(path, **options):
    return trimesh.load(path, process=False, **options)


def areas(body):
    """Of each tile: of edge a, sqrt(3) / 4 a**2 for a triangle and a**2 for a square."""
    squares = body.tile_sides == 4
    return np.where(squares, 1.0, np.sqrt(3) / 4) * body.tile_edge**2


def test_glb_has_a_node_for_each_part_and_no_transform(pose, tmp_path):
    export(pose, tmp_path / "a.glb")
    raw = (tmp_path / "a.glb").read_bytes()
    tree = json.loads(raw[20 : 20 + struct.unpack("<I", raw[12:16])[0]])
    assert [node["name"] for node in tree["nodes"]] == ["mirrors", "panels", "room"]
    assert all(set(node) == {"name", "mesh"} for node in tree["nodes"])
    assert tree["scenes"][0]["nodes"] == [0, 1, 2]
    found = read(tmp_path / "a.glb")
    assert set(found.graph.nodes_geometry) == {"mirrors", "panels", "room"}
    for node in found.graph.nodes_geometry:
        assert np.array_equal(found.graph[node][0], np.eye(4))


def test_mirrors_are_the_tiles_one_after_the_other(pose, tmp_path):
    export(pose, tmp_path / "a.glb")
    mirrors = read(tmp_path / "a.glb").geometry["mirrors"]
    bodies = [ball.body for ball in pose.scene.balls]
    sides = np.concatenate([body.tile_sides for body in bodies])
    tile = np.repeat(np.arange(len(sides)), sides - 2)
    assert len(mirrors.faces) == len(tile)
    found = np.bincount(tile, weights=mirrors.area_faces)
    assert found == pytest.approx(np.concatenate([areas(body) for body in bodies]), rel=1e-5)
    # Corners of different tiles are different rows, and each tile has as many as it has sides.
    rows = [set(mirrors.faces[tile == number].ravel()) for number in range(len(sides))]
    assert [len(row) for row in rows] == list(sides)
    assert sum(map(len, rows)) == len(mirrors.vertices) == len(set.union(*rows))


def test_mirrors_face_away_from_their_ball(pose):
    """The quince is an octahedron: the tiles of a convex body look away from its middle."""
    found = trimesh.Trimesh(*geometry(pose, "mirrors"), process=False)
    centre = pose.scene.balls[1].centre
    outwards = found.triangles_center[-8:] - centre
    cosines = np.einsum("ij,ij->i", found.face_normals[-8:], trimesh.unitize(outwards))
    assert cosines == pytest.approx(np.ones(8))


def test_the_room_is_closed_and_seen_from_inside(pose, tmp_path):
    export(pose, tmp_path / "a.glb")
    room = read(tmp_path / "a.glb").geometry["room"]
    assert room.is_watertight
    low, high = room.bounds
    assert low == pytest.approx([-3, -3, 0], abs=1e-6)
    assert high == pytest.approx([3, 3, 3.5], abs=1e-6)
    # A half-ball on a cylinder, less what the polygons cut off.
    whole = 2 / 3 * np.pi * 27 + np.pi * 9 * 0.5
    assert -whole < room.volume < -0.995 * whole


@pytest.mark.parametrize("ending", ENDINGS)
def test_every_format_has_the_same_triangles(pose, tmp_path, ending):
    path = tmp_path / f"a{ending}"
    export(pose, path)
    found = read(path)
    if isinstance(found, trimesh.Scene):
        found = trimesh.util.concatenate([found.geometry[p] for p in ("mirrors", "panels", "room")])
    parts = [
        trimesh.Trimesh(*geometry(pose, p), process=False) for p in ("mirrors", "panels", "room")
    ]
    wanted = np.concatenate([part.triangles for part in parts])
    assert found.triangles == pytest.approx(wanted, abs=1e-6)


def test_obj_has_an_object_for_each_part(pose, tmp_path):
    export(pose, tmp_path / "a.obj")
    lines = (tmp_path / "a.obj").read_text().splitlines()
    assert [line for line in lines if line[:2] == "o "] == ["o mirrors", "o panels", "o room"]


def test_parts_can_be_chosen(pose, tmp_path):
    export(pose, tmp_path / "a.ply", parts=["mirrors"])
    wanted = sum(areas(ball.body).sum() for ball in pose.scene.balls)
    assert read(tmp_path / "a.ply").area == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_same_scene_gives_the_same_bytes(pose, tmp_path, ending):
    again = glint.load(pose.scene.source.path).at(degrees=17.0)
    export(pose, tmp_path / f"a{ending}")
    export(again, tmp_path / f"b{ending}")
    assert (tmp_path / f"a{ending}").read_bytes() == (tmp_path / f"b{ending}").read_bytes()


def test_another_ending_is_refused(pose, tmp_path):
    with pytest.raises(UsageError, match=r'found ending ".fbx"'):
        export(pose, tmp_path / "a.fbx")
    assert not list(tmp_path.iterdir())
