"""Scenes from strangers: what they name is only looked at, and what they say is only text.

Decided so: a name may lead up by "..", since scenes share lamp files in a folder beside them, and
links are followed; but only regular files of limited size are opened, whose names end as those of
lamp or mesh files do. Nothing of them is shown but a word that is wrong.
"""

from __future__ import annotations

import builtins
import json
import os
import socket
import subprocess
from pathlib import Path

import pytest

from glint.build.pages import files_of
from glint.build.sheet import sheet
from glint.errors import SceneError
from glint.files.read import MESH_ENDINGS
from glint.scene.build import build, load
from glint.schema.read import scene_of
from glint.shape.mesh_file import read_mesh
from tests.cli.command import glint

TABLES = {"room": {"radius_m": 4.0}, "tile": {"thickness_mm": 1.0}}
CUBE = {"shape": {"base": "cube"}}
SECRET = "the-key-under-the-mat"

BOX = "\n".join(
    [f"v {x} {y} {z}" for x in (0, 99) for y in (0, 99) for z in (0, 99)]
    + [f"f {f}" for f in ("1 2 4 3", "5 7 8 6", "1 5 6 2", "3 4 8 7", "1 3 7 5", "2 6 8 4")]
)


def refusal(folder: Path, **tables) -> str:
    with pytest.raises(SceneError) as told:
        build(scene_of(TABLES | {"ball": [CUBE]} | tables, folder / "s.toml"))
    text = str(told.value)
    assert text.isprintable() and SECRET not in text
    return text


@pytest.fixture
def scenes(tmp_path):
    folder = tmp_path / "scenes"
    folder.mkdir()
    (tmp_path / "secret").write_text(f"{SECRET}\n")
    return folder


@pytest.mark.parametrize(
    "name", ["../secret", "../../../../../../etc/passwd", "secret.txt", ".", "..", "~/.ssh/id"]
)
def test_files_that_are_no_lamp_files_by_name_are_not_opened(name, scenes, monkeypatch):
    monkeypatch.setattr(os, "open", None)
    assert "relative to the scene" in refusal(scenes, lamp=[{"file": name}])
    assert "relative to the scene" in refusal(scenes, ball=[{"shape": {"mesh": name}}])


@pytest.mark.parametrize("ending", ["ies", "stl", "obj", "ply", "glb"])
@pytest.mark.parametrize("what", ["device", "pipe", "folder", "loop", "link to a device"])
def test_what_is_no_regular_file_is_not_opened(what, ending, scenes, monkeypatch):
    name = f"quince.{ending}"
    place = scenes / name
    if what == "pipe":
        os.mkfifo(place)
    elif what == "folder":
        place.mkdir()
    elif what == "loop":
        place.symlink_to(place)
    else:
        place.symlink_to("/dev/zero")
    monkeypatch.setattr(os, "open", None)
    tables = (
        {"lamp": [{"file": name}]} if ending == "ies" else {"ball": [{"shape": {"mesh": name}}]}
    )
    told = refusal(scenes, **tables)
    assert "allowed: a regular file" in told


def test_a_link_is_followed_but_shows_nothing_of_what_it_leads_to(scenes):
    (scenes / "quince.ies").symlink_to(scenes.parent / "secret")
    assert "no line that begins with TILT=" in refusal(scenes, lamp=[{"file": "quince.ies"}])
    for ending in ("stl", "obj", "ply", "glb"):
        (scenes / f"quince.{ending}").symlink_to(scenes.parent / "secret")
        refusal(scenes, ball=[{"shape": {"mesh": f"quince.{ending}"}}])


def test_files_that_are_too_large_are_not_taken_in(scenes):
    for ending, limit in (("ies", 1 << 20), ("stl", 1 << 24)):
        with (scenes / f"quince.{ending}").open("wb") as file:
            file.truncate(limit + 1)  # a hole: nothing is written
    assert "at most 1024 KiB" in refusal(scenes, lamp=[{"file": "quince.ies"}])
    assert "at most 16384 KiB" in refusal(scenes, ball=[{"shape": {"mesh": "quince.stl"}}])


def test_a_mesh_file_cannot_have_others_read(scenes, monkeypatch):
    """Materials, pictures and data in other files, or far away, are left alone."""
    (scenes / "quince.mtl").write_text(f"newmtl a\nmap_Kd {SECRET}.png\n")
    (scenes / "quince.obj").write_text(f"mtllib quince.mtl\nmtllib http://127.0.0.1:9/a\n{BOX}\n")
    opened = []
    true_open = os.open

    def watched(path, *rest, **more):
        opened.append(str(path))
        return true_open(path, *rest, **more)

    def never(*_, **__):
        raise AssertionError("nothing else is read, asked or run")

    import trimesh  # noqa: F401  before files may no longer be opened

    read_mesh(scenes, "quince.obj")  # whatever the reader imports when it is first used
    for module, name in ((socket, "socket"), (subprocess, "Popen"), (builtins, "open")):
        monkeypatch.setattr(module, name, never)
    monkeypatch.setattr(os, "open", watched)
    assert len(read_mesh(scenes, "quince.obj").triangles) == 12
    assert opened == [str(scenes / "quince.obj")]


@pytest.mark.parametrize("uri", ["../secret", "http://127.0.0.1:9/x.bin", "data:,x", "quince.glb"])
def test_a_glb_file_with_data_elsewhere_is_refused(uri, scenes):
    header = json.dumps({"asset": {"version": "2.0"}, "buffers": [{"uri": uri, "byteLength": 9}]})
    text = header.encode() + b" " * (-len(header) % 4)
    data = b"glTF" + (2).to_bytes(4, "little") + (20 + len(text)).to_bytes(4, "little")
    data += len(text).to_bytes(4, "little") + b"JSON" + text
    (scenes / "quince.glb").write_bytes(data)
    told = refusal(scenes, ball=[{"shape": {"mesh": "quince.glb"}}])
    assert "whose data lie in another file; allowed: all data in the one file" in told


def test_only_four_kinds_of_mesh_are_read(scenes):
    import trimesh

    assert set(MESH_ENDINGS) == {"stl", "obj", "ply", "glb"}
    for ending in sorted({*trimesh.available_formats(), "py", "zip", "gltf"} - {*MESH_ENDINGS}):
        (scenes / f"quince.{ending}").write_text(SECRET)
        told = refusal(scenes, ball=[{"shape": {"mesh": f"quince.{ending}"}}])
        assert "a mesh file (.stl, .obj, .ply or .glb)" in told


MARKUP = '<script>alert("quince")</script>&amp;{{ 7 * 7 }}{% raw %}'


def test_the_texts_of_a_scene_are_only_text_on_a_build_sheet(tmp_path):
    tables = TABLES | {"title": MARKUP, "ball": [CUBE | {"name": MARKUP[:60]}]}
    files = files_of(sheet(build(scene_of(tables, tmp_path / "<quince>.toml"))))
    for name, data in files.items():
        if name.endswith((".html", ".svg")):
            text = data.decode()
            assert "<script" not in text and "<quince>" not in text, name
            assert "&lt;script&gt;" in text and "{{ 7 * 7 }}" in text, name
    assert json.loads(files["sheet.json"])["title"] == MARKUP


@pytest.mark.parametrize(
    "evil", ["\x1b[2J", "\x9b2J", "\x07", "\r", "\u202e", "\u2066", "\u2028", "\0"]
)
def test_control_characters_of_texts_are_refused_and_told_in_print(evil, scenes):
    for tables in (
        {"title": f"a{evil}b"},
        {"ball": [CUBE | {"name": f"a{evil}b"}]},
        {"lamp": [{"name": f"a{evil}b"}]},
        {"lamp": [{"aim": f"a{evil}b"}]},
        {"lamp": [{"file": f"a{evil}b.ies"}]},
        {"ball": [{"shape": {"mesh": f"a{evil}b.stl"}}]},
        {f"a{evil}b": 1},
    ):
        refusal(scenes, **tables)


def test_nothing_raw_reaches_the_terminal(tmp_path):
    """Escapes in TOML, in a lamp file and in the scene's own name."""
    (tmp_path / "quince.ies").write_text("IESNA:LM-63-2002\nTILT=\x1b[2Jnone\n")
    (tmp_path / "\x1b[2J.toml").write_text(
        'title = "\\u001b[2J"\n"\\u009b2J" = 1\n[room]\nradius_m = 4\n'
        '[[ball]]\nshape = { base = "cube" }\nname = "\\u202e"\n[[lamp]]\nfile = "quince.ies"\n'
    )
    done = glint("check", "\x1b[2J.toml", cwd=tmp_path)
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 3
    assert all(line.isprintable() for line in done.stderr.splitlines())
    text = '[room]\nradius_m = 4\n[[ball]]\nshape = { base = "cube" }\n'
    text += '[[lamp]]\nfile = "quince.ies"\n'
    (tmp_path / "s.toml").write_text(text)
    done = glint("check", "s.toml", cwd=tmp_path)
    assert done.returncode == 2 and done.stderr[:-1].isprintable()
    assert r'"TILT=\u001b[2Jnone"' in done.stderr


def test_a_scene_is_data(scenes):
    """Nothing in a scene is run: not names, not colours, not what looks like code."""
    (scenes / "s.toml").write_text(
        f"title = \"__import__('os').system('touch {scenes}/run')\"\n"
        '[room]\nradius_m = 4\n[[ball]]\nname = "$(touch run)"\nshape = { base = "cube" }\n'
    )
    load(scenes / "s.toml")
    assert sorted(path.name for path in scenes.iterdir()) == ["s.toml"]
