"""A film and a build sheet killed half way: what was there is whole, and the next run tidies up."""

from __future__ import annotations

import random
import subprocess
import sys
import time

import pytest

from tests.cli.command import DEMO, MADE, environment, glint, names

pytest.importorskip("fcntl", reason="leftovers stay here, in nobody's way")


def start(folder, *arguments):
    return subprocess.Popen(
        [sys.executable, "-m", "glint", *map(str, arguments)],
        cwd=folder,
        env=environment(),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_loop(tmp_path):
    (tmp_path / "out.png").write_text("older")
    (tmp_path / "quince.toml").write_text(MADE.replace("rpm = 20.0", "rpm = 0.15"))
    child = start(tmp_path, "loop", "quince.toml", "--size", 128, "-o", "out.png", "--force")
    try:
        deadline = time.monotonic() + 60
        while not any(path.stat().st_size > 20_000 for path in tmp_path.glob(".glint-*")):
            assert child.poll() is None and time.monotonic() < deadline
            time.sleep(0.05)
    finally:
        child.kill()
        child.wait()
    assert (tmp_path / "out.png").read_text() == "older"
    assert len(names(tmp_path)) == 3  # what it had filmed so far is left
    done = glint("export", "quince.toml", "-o", "out.glb", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert names(tmp_path) == ["out.glb", "out.png", "quince.toml"]


def test_a_build_sheet(tmp_path):
    start(tmp_path, "build", DEMO, "-o", "sheet").wait()
    before = contents(tmp_path / "sheet")
    start(tmp_path, "build", DEMO, "-o", "new", "--paper", "letter").wait()
    new = contents(tmp_path / "new")
    assert before != new
    for turn in range(2):
        child = start(tmp_path, "build", DEMO, "-o", "sheet", "--paper", "letter", "--force")
        time.sleep(random.Random(turn).uniform(0.2, 2.0))
        child.kill()
        child.wait()
        for name, data in before.items():
            assert (tmp_path / "sheet" / name).read_bytes() in (data, new[name]), name
    done = glint("build", DEMO, "-o", "sheet", "--force", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert contents(tmp_path / "sheet") == before
    assert names(tmp_path) == ["new", "sheet"]
