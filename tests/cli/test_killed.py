"""A film and a build sheet killed half way: what was there is whole, and the next run tidies up."""

from __future__ import annotations

import random
import time

import pytest

from tests.cli.command import DEMO, filming, names, printed, start

pytest.importorskip("fcntl", reason="leftovers stay here, in nobody's way")


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_loop(tmp_path):
    (tmp_path / "out.png").write_text("older")
    with filming(tmp_path) as child:
        child.kill()
    assert (tmp_path / "out.png").read_text() == "older"
    assert len(names(tmp_path)) == 3  # what it had filmed so far is left
    printed("export", "quince.toml", "-o", "out.glb", cwd=tmp_path)
    assert names(tmp_path) == ["out.glb", "out.png", "quince.toml"]


def test_a_build_sheet(tmp_path):
    printed("build", DEMO, "-o", "sheet", cwd=tmp_path)
    before = contents(tmp_path / "sheet")
    printed("build", DEMO, "-o", "new", "--paper", "letter", cwd=tmp_path)
    new = contents(tmp_path / "new")
    assert before != new
    for turn in range(2):
        words = ("build", DEMO, "-o", "sheet", "--paper", "letter", "--force")
        with start(*words, cwd=tmp_path) as child:
            time.sleep(random.Random(turn).uniform(0.2, 2.0))
            child.kill()
        for name, data in before.items():
            assert (tmp_path / "sheet" / name).read_bytes() in (data, new[name]), name
    printed("build", DEMO, "-o", "sheet", "--force", cwd=tmp_path)
    assert contents(tmp_path / "sheet") == before
    assert names(tmp_path) == ["new", "sheet"]
