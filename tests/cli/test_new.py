"""`glint new`: three questions, with a default each; a whole file or none; the same every time."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from glint.schema.read import read_scene
from tests.cli.command import environment, glint, names, printed, told

pty = pytest.importorskip("pty")


def answered(folder, *answers):
    """All that `glint new a.toml` shows to somebody who types these lines."""
    ours, its = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "glint", "new", "a.toml"],
        cwd=folder,
        env=environment(),
        stdin=its,
        stdout=its,
        stderr=its,
    )
    os.close(its)
    os.write(ours, "".join(f"{line}\n" for line in answers).encode())
    shown = b""
    try:
        while part := os.read(ours, 65536):
            shown += part
    except OSError:  # the other end is closed
        pass
    finally:
        os.close(ours)
        child.wait(timeout=60)
    return shown.decode()


def test_enter_takes_every_default_and_so_does_a_script(tmp_path):
    shown = answered(tmp_path, "", "", "")
    assert "Room: dome, bell, yurt or hall [dome]:" in shown and "[300 60]" in shown
    assert "Lamps, 1 to 6 [3]:" in shown
    said = printed("new", "b.toml", cwd=tmp_path)
    assert said.startswith("wrote b.toml: 5 bodies in a dome: ")
    assert "glint still b.toml --view eye" in said
    asked, scripted = ((tmp_path / f"{n}.toml").read_text() for n in "ab")
    assert asked.replace("a.toml", "b.toml").replace("-o a.mp4", "-o b.mp4") == scripted
    assert printed("check", "b.toml", cwd=tmp_path).count("warning") == 0


def test_answers_are_taken_and_wrong_ones_asked_again(tmp_path):
    shown = answered(tmp_path, "yrt", "yurt", "many", "120 0", "9", "2")
    assert 'did you mean "yurt"?' in shown
    assert "triangles first, such as 300 60" in shown and "from 1 to 6" in shown
    scene = read_scene(tmp_path / "a.toml")
    assert scene.room.kind == "yurt" and len(scene.lamp) == 2
    assert "from 120 triangles." in (tmp_path / "a.toml").read_text()


def test_options_take_the_place_of_questions(tmp_path):
    words = ("--room", "bell", "--squares", 400, "--lamps", 2, "--across", 20, "--inches", "--yes")
    printed("new", "a.toml", *words, cwd=tmp_path)
    text, scene = (tmp_path / "a.toml").read_text(), read_scene(tmp_path / "a.toml")
    assert "radius_ft = 10.0" in text and "edge_in = 1.0" in text
    assert scene.room.model_dump()["radius_m"] == pytest.approx(3.048)
    assert [ball.shape.base for ball in scene.ball] == ["rings"]


def test_a_file_is_only_replaced_by_force_and_never_left_in_part(tmp_path):
    (tmp_path / "a.toml").write_text("mine")
    assert told("new", "a.toml", cwd=tmp_path).endswith("a.toml exists; --force replaces it")
    line = told("new", "a.toml", "--triangles", 2, "--force", cwd=tmp_path)
    assert "no shape is made of these" in line and "--triangles" in line
    assert (tmp_path / "a.toml").read_text() == "mine" and names(tmp_path) == ["a.toml"]
    printed("new", "a.toml", "--force", cwd=tmp_path)
    assert read_scene(tmp_path / "a.toml")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["a.txt"], 'found ending ".txt"; allowed: ".toml"'),
        (["a.toml", "--room", "yrut"], 'did you mean "yurt"?'),
        (["a.toml", "--across", 4], "found 4; allowed: from 5 to 30 m"),
        (["a.toml", "--across", 8, "--inches"], "found 8; allowed: from 16.41 to 98.42 ft"),
        (["a.toml", "--edge", 1], "found 1; allowed: from 8 to 150 mm"),
    ],
)
def test_what_cannot_be_is_told(tmp_path, words, message):
    assert message in told("new", *words, cwd=tmp_path)
    assert names(tmp_path) == []


def test_progress_in_a_log_is_plain_lines(tmp_path):
    done = glint("new", "a.toml", "--progress", cwd=tmp_path)
    first, *_, last = done.stderr.splitlines()
    assert first == "glint: choosing shapes"
    assert last.startswith("glint: choosing shapes: done in ") and last.isprintable()
