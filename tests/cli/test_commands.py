"""The command line: exit status, messages, and files whole or not at all."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

SCENE = Path(__file__).parents[2] / "scenes" / "spiked-twenty.toml"


def glint(*arguments, cwd):
    return subprocess.run(
        [sys.executable, "-m", "glint", *map(str, arguments)],
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=120,
    )


def test_a_still_is_a_picture_of_the_size_asked_for(tmp_path):
    done = glint("still", SCENE, "--size", 128, "-o", "a.png", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    with Image.open(tmp_path / "a.png") as picture:
        assert picture.size == (128, 128)
        assert picture.getpixel((0, 0)) == (0, 0, 0)
    assert [p.name for p in tmp_path.iterdir()] == ["a.png"]


def test_an_existing_file_is_kept(tmp_path):
    (tmp_path / "a.png").write_text("mine")
    done = glint("still", SCENE, "--size", 128, "-o", "a.png", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == "glint: a.png exists; --force replaces it\n"
    assert (tmp_path / "a.png").read_text() == "mine"


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["stil", SCENE], 'did you mean "still"?'),
        (["still", SCENE, "--view", "dom"], "'dom' is not one of"),
        (["still", SCENE, "-o", "a.jpg"], "a still is a .png file"),
        (["still", SCENE, "-o", "no/such/a.png"], "there is no folder no/such"),
        (["check", "missing.toml"], "missing.toml"),
        (["check", Path(__file__)], "test_commands.py: line"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_two(arguments, message, tmp_path):
    done = glint(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert message in done.stderr
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_figures_are_json_on_request(tmp_path):
    found = json.loads(glint("check", SCENE, "--json", cwd=tmp_path).stdout)
    assert found["balls"][0]["tiles"] == 60
    figures = json.loads(glint("spots", SCENE, "--json", cwd=tmp_path).stdout)
    assert {"lamp", "tiles", "bounces", "x_m", "area_m2", "peak_lux"} <= set(figures["spots"][0])
    assert [lamp["lamp"] for lamp in figures["audit"]] == ["lamp 1", "lamp 2"]
    for lamp in figures["audit"]:
        assert abs(lamp["closed_percent"] - 100.0) < 0.1
