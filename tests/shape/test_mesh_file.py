"""Mesh files: the four formats, and every bad file that we could think of."""

from __future__ import annotations

import io
import json
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from glint.errors import ShapeError
from glint.files.read import MESH_ENDINGS, MESH_LIMIT
from glint.shape.mesh_file import mesh_of, read_mesh

BOX = trimesh.creation.box((4.0, 3.0, 2.0))
UP_TO_SIDE = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], float)


def written(mesh: trimesh.Trimesh, ending: str) -> bytes:
    if ending == "glb":
        mesh = mesh.copy().apply_transform(UP_TO_SIDE)
    content = mesh.export(file_type=ending)
    return content.encode() if isinstance(content, str) else content


def soup(vertices, faces) -> bytes:
    """An ASCII PLY file with anything in it."""
    rows = [" ".join(map(str, row)) for row in vertices] + [f"3 {a} {b} {c}" for a, b, c in faces]
    head = (
        f"ply\nformat ascii 1.0\nelement vertex {len(vertices)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    return (head + "\n".join(rows) + "\n").encode()


def glb(header: dict, data: bytes = b"") -> bytes:
    text = json.dumps(header).encode()
    text += b" " * (-len(text) % 4)
    parts = struct.pack("<II", len(text), 0x4E4F534A) + text
    if data:
        parts += struct.pack("<II", len(data), 0x004E4942) + data
    return b"glTF" + struct.pack("<II", 2, 12 + len(parts)) + parts


@pytest.mark.parametrize("ending", MESH_ENDINGS)
def test_every_format_gives_the_same_body(tmp_path: Path, ending: str):
    moved = BOX.copy().apply_translation((7.0, -5.0, 3.0))
    (tmp_path / f"box.{ending}").write_bytes(written(moved, ending))
    mesh = read_mesh(tmp_path, f"box.{ending}")
    assert (len(mesh.vertices), len(mesh.triangles)) == (8, 12)
    # Its centre of volume comes to the origin, z stays up.
    assert np.abs(mesh.vertices) == pytest.approx(np.tile([2.0, 1.5, 1.0], (8, 1)), abs=1e-6)
    assert trimesh.Trimesh(*mesh, process=False).volume == pytest.approx(24.0)


def test_ascii_stl():
    text = BOX.export(file_type="stl_ascii")
    assert len(mesh_of(text.encode(), "stl").triangles) == 12


@pytest.mark.parametrize("ending", ["stl", "obj"])
def test_names_in_any_alphabet_do_no_harm(ending: str):
    text = BOX.export(file_type="stl_ascii" if ending == "stl" else "obj")
    head = "solid K\xe4fer" if ending == "stl" else "# K\xe4fer"
    data = "\n".join([head, *text.split("\n")[1:]]).encode("latin-1")
    assert len(mesh_of(data, ending).triangles) == 12


def test_a_mesh_inside_out_is_turned():
    inside_out = trimesh.Trimesh(BOX.vertices, BOX.faces[:, ::-1], process=False)
    mesh = mesh_of(written(inside_out, "ply"), "ply")
    assert trimesh.Trimesh(*mesh, process=False).volume == pytest.approx(24.0)


def test_an_object_file_may_name_materials_that_are_never_read(tmp_path: Path):
    text = b"mtllib /etc/hostname\nusemtl quince\n" + written(BOX, "obj")
    assert len(mesh_of(text, "obj").triangles) == 12


CORNERS, FACES = BOX.vertices.tolist(), BOX.faces.tolist()
NO_NUMBER = [["nan", 0, 0], *CORNERS[1:]]
ENDLESS = [["inf", 0, 0], *CORNERS[1:]]
SLIVER = [[0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1, 1]]
SLIVERS = [(0, 1, 2), (0, 2, 3), (0, 3, 1), (1, 3, 2)]
TWISTED = [FACES[0][::-1], *FACES[1:]]
FIN = [*FACES, [FACES[0][0], FACES[0][1], 8], [FACES[0][1], FACES[0][0], 8]]
FLAT = ([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [(0, 1, 2), (2, 1, 0)])
ACCESSOR = {"componentType": 5126, "type": "VEC3"}
LOOP = {"nodes": [{"children": [1, 1]}, {"children": [2, 2]}, {}]}

BAD = {
    "empty": (b"", "stl", "an empty file; allowed: a closed mesh, each edge of it shared"),
    "empty PLY": (b"", "ply", "an empty file"),
    "no triangles": (b"v 0 0 0\nv 1 0 0\n", "obj", "OBJ file|without triangles"),
    "STL cut short": (
        written(BOX, "stl")[:-20],
        "stl",
        "cut short or no STL file|without triangles",
    ),
    "STL without its header": (b"\0" * 60, "stl", "cut short or no STL file"),
    "STL of nothing": (b"\0" * 84, "stl", "without triangles"),
    "OBJ cut short": (written(BOX, "obj")[:-60], "obj", "edges of one triangle only|no OBJ file"),
    "PLY cut short": (written(BOX, "ply")[:-30], "ply", "cut short or no PLY file"),
    "ASCII PLY cut short": (soup(CORNERS, FACES)[:-30], "ply", "edges of one|no PLY file|corners"),
    "GLB cut short": (written(BOX, "glb")[:-30], "glb", "cut short or no GLB file"),
    "GLB of the head only": (written(BOX, "glb")[:18], "glb", "cut short or no GLB file"),
    "PLY as STL": (written(BOX, "ply"), "stl", "cut short or no STL file"),
    "STL as GLB": (written(BOX, "stl"), "glb", "cut short or no GLB file"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\7" * 500, "ply", "cut short or no PLY file"),
    "not a number": (soup(NO_NUMBER, FACES), "ply", "corners that are not finite numbers; allow"),
    "infinity": (soup(ENDLESS, FACES), "ply", "corners that are not finite numbers"),
    "corner missing": (soup(CORNERS[:7], FACES), "ply", "corners that are not there|no PLY"),
    "sliver": (soup(SLIVER, SLIVERS), "ply", "1 triangle without an area; allowed: triangles wi"),
    "doubled corner": (soup(CORNERS, [*FACES, (0, 0, 1)]), "ply", "1 triangle without an area"),
    "hole": (soup(CORNERS, FACES[1:]), "ply", "3 edges of one triangle only, the first at ("),
    "one triangle": (soup(*(FLAT[0], FLAT[1][:1])), "ply", "3 edges of one triangle only"),
    "fin": (soup([*CORNERS, [9, 9, 9]], FIN), "ply", "1 edges shared by more than two triangles"),
    "twisted": (soup(CORNERS, TWISTED), "ply", "3 edges whose two triangles turn different ways"),
    "flat": (soup(*FLAT), "ply", "a mesh without a volume; allowed: a body with a volume"),
    "one point": (soup([[1, 1, 1]] * 3, [(0, 1, 2)]), "ply", "a mesh of no size"),
    "too far": (soup((1e200 * BOX.vertices).tolist(), FACES), "ply", "endless|finite|no size"),
    "binary PLY that says it is endless": (
        written(BOX, "ply").replace(b"face 12", b"face 999999999999"),
        "ply",
        "cut short or no PLY file",
    ),
    "many triangles": (
        written(trimesh.creation.icosphere(6), "stl"),
        "stl",
        "81920 triangles; allowed: at most 20000 triangles",
    ),
    "GLB with its data elsewhere": (
        glb({"buffers": [{"uri": "http://quince.invalid/x.bin", "byteLength": 4}]}),
        "glb",
        "whose data lie in another file",
    ),
    "GLB that says it is large": (
        glb({"accessors": [{**ACCESSOR, "count": 10**12}]}),
        "glb",
        "lists of 1000000000000 corners; allowed: at most 20000 triangles",
    ),
    "GLB of parts that multiply": (glb(LOOP), "glb", "parts used more than once"),
    "GLB of the wrong types": (glb({"nodes": 3}), "glb", "cut short or no GLB file"),
    "GLB of one mesh many times": (
        glb({"nodes": [{"mesh": 0}, {"mesh": 0}], "meshes": [{"primitives": []}]}),
        "glb",
        "parts used more than once",
    ),
}


@pytest.mark.parametrize(("data", "ending", "text"), BAD.values(), ids=BAD.keys())
def test_a_bad_file_is_explained(tmp_path: Path, data: bytes, ending: str, text: str):
    (tmp_path / f"pear.{ending}").write_bytes(data)
    with pytest.raises(ShapeError) as caught:
        read_mesh(tmp_path, f"pear.{ending}")
    told = str(caught.value)
    assert told.startswith(f'shape.mesh: found "pear.{ending}", ')
    assert any(part in told for part in text.split("|")), told
    assert told.isprintable() and caught.value.exit_status == 2


def test_files_that_are_not_there_too_large_or_of_another_kind(tmp_path: Path):
    (tmp_path / "pear.stl").write_bytes(b"\0" * (MESH_LIMIT + 1))
    with pytest.raises(ShapeError, match="a file that is too large; allowed: at most 16384 KiB"):
        read_mesh(tmp_path, "pear.stl")
    with pytest.raises(ShapeError, match=r'no such file; .*; did you mean "pear\.stl"\?'):
        read_mesh(tmp_path, "paer.stl")
    (tmp_path / "pear.step").write_bytes(b"x")
    with pytest.raises(ShapeError, match=r"allowed: a file ending in \.stl, \.obj, \.ply or \.gl"):
        read_mesh(tmp_path, "pear.step")


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(MESH_ENDINGS),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), max_size=6),
    st.integers(0, 2000),
)
def test_damaged_files_are_read_or_explained(ending, changes, length):
    data = bytearray(written(BOX, ending))
    for place, value in changes:
        data[place % len(data)] = value
    content = bytes(data[: max(1, len(data) - length // 4)])
    try:
        mesh = mesh_of(content, ending)
    except ValueError as error:
        found, allowed = error.args
        assert found.isprintable() and allowed.isprintable()
        return
    assert trimesh.Trimesh(*mesh, process=False).is_watertight


def test_the_box_is_what_the_tests_take_it_for():
    assert BOX.is_watertight and len(io.BytesIO(written(BOX, "stl")).read()) == 84 + 12 * 50
