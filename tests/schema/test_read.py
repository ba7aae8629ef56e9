"""Scene files on disk."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from pydantic import ValidationError

from glint.errors import SceneError
from glint.files.read import SCENE_LIMIT
from glint.schema.read import read_scene

SCENE = """
title = "Quince Night"

[room]
radius_m = 5
rise_m = 3.5

[tile]
edge_mm = 20

[[ball]]
name = "quince"
shape = { base = "dodecahedron", steps = [{ do = "raise", sides = 5 }] }
hang = { height_m = 2.2, at_m = [0.5, 0], by = "vertex" }

[[ball]]
shape = { base = "rings", diameter_m = 0.4 }

[[lamp]]
at_m = [3, 0, 1.6]
aim = "quince"
file = "lamps/spot.ies"

[[lamp]]
aim = [0, 0, 2]
colour = "#FF8800"
"""


def refusal(path: Path) -> str:
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert caught.value.file == str(path)
    return str(caught.value).removeprefix(f"{path}: ")


def test_a_scene_is_read_as_written(tmp_path):
    path = tmp_path / "quince.toml"
    path.write_text(SCENE)
    scene = read_scene(path)
    assert (scene.room.radius_m, scene.room.rise_m) == (5.0, 3.5)
    assert isinstance(scene.room.radius_m, float)
    assert scene.ball[0].shape.steps[0].sides == 5
    assert scene.ball[0].hang.at_m == (0.5, 0.0)
    assert scene.ball[1].shape.gap_mm == 2.0
    assert scene.lamp[0].file == "lamps/spot.ies"
    assert scene.lamp[1].aim == (0.0, 0.0, 2.0)
    assert (scene.path, scene.folder) == (path, tmp_path)


@pytest.mark.parametrize(
    "change", [lambda b: b"\xef\xbb\xbf" + b, lambda b: b.replace(b"\n", b"\r\n")]
)
def test_files_from_other_systems_are_read(tmp_path, change):
    path = tmp_path / "quince.toml"
    path.write_bytes(change(SCENE.encode()))
    assert read_scene(str(path)).ball[0].name == "quince"


def test_a_comment_may_have_many_dots(tmp_path):
    path = tmp_path / "quince.toml"
    path.write_text(f"  # {'.' * 200}\n{SCENE}")
    assert read_scene(path).ball[0].name == "quince"


def test_what_was_read_cannot_be_changed(tmp_path):
    path = tmp_path / "quince.toml"
    path.write_text(SCENE)
    scene = read_scene(path)
    with pytest.raises(ValidationError):
        scene.room.radius_m = 3.0


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path):
    (tmp_path / "quince.toml").write_text(SCENE)
    told = refusal(tmp_path / "quince.tml")
    assert told == 'found no such file; allowed: a file that is there; did you mean "quince.toml"?'


def test_a_folder_is_told(tmp_path):
    assert refusal(tmp_path) == "found a folder; allowed: a regular file"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_told_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    assert "a device or pipe" in refusal(tmp_path / "pipe.toml")


def test_a_file_too_large_is_told(tmp_path):
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * SCENE_LIMIT + b"\n")
    assert "too large; allowed: at most 1024 KiB" in refusal(path)
    path.write_bytes(SCENE.encode() + b"#" * (SCENE_LIMIT - len(SCENE)))
    assert read_scene(path).title == "Quince Night"


def test_a_path_with_a_nul_is_told():
    with pytest.raises(SceneError, match="cannot be read"):
        read_scene("a\0b")


def test_reading_scenes_loads_nothing_heavy():
    heavy = {"numba", "scipy", "trimesh", "matplotlib", "av", "PIL"}
    code = f"import sys, glint.schema.read; print(*({heavy!r} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == []
