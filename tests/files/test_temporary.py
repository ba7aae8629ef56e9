"""Programs that are killed: what was there stays whole, and what they leave is cleared away."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from glint.build.folder import write_folder
from glint.files.atomic import whole_file
from glint.files.temporary import clear_leftovers, hidden_file, hidden_folder
from tests.cli.command import environment, names

pytest.importorskip("fcntl", reason="nothing is locked or cleared here")

FILE = """
import itertools, sys
from glint.files.atomic import whole_file
for n in itertools.count():
    with whole_file(sys.argv[1], force=True) as place, place.open("wb") as file:
        for _ in range(50):
            file.write(bytes([65 + n % 2]) * 10_000)
    print("written", flush=True)
"""

FOLDER = """
import itertools, sys
from glint.build.folder import write_folder
for n in itertools.count():
    files = {f"{k}.txt": bytes([65 + n % 2]) * 100_000 for k in range(5)}
    write_folder(__import__("pathlib").Path(sys.argv[1]), files, force=True)
    print("written", flush=True)
"""


def killed(program, *arguments, after=0.0):
    """Run a program that writes again and again; kill it so many seconds after its first."""
    child = subprocess.Popen(
        [sys.executable, "-c", program, *map(str, arguments)],
        env=environment(),
        stdout=subprocess.PIPE,
    )
    assert child.stdout is not None and child.stdout.readline() == b"written\n"
    time.sleep(after)
    child.kill()
    child.communicate()


@pytest.mark.parametrize("turn", range(8))
def test_a_file_is_whole_whenever_its_program_is_killed(turn, tmp_path):
    path = tmp_path / "quince.bin"
    killed(FILE, path, after=random.Random(turn).uniform(0.0, 0.05))
    assert path.read_bytes() in (b"A" * 500_000, b"B" * 500_000)
    with whole_file(path, force=True) as place:
        place.write_bytes(b"new")
    assert names(tmp_path) == ["quince.bin"]


@pytest.mark.parametrize("turn", range(8))
def test_every_file_of_a_folder_is_whole_whenever_its_program_is_killed(turn, tmp_path):
    folder = tmp_path / "sheet"
    killed(FOLDER, folder, after=random.Random(turn).uniform(0.0, 0.05))
    whole = [(folder / f"{k}.txt").read_bytes() for k in range(5)]
    assert set(whole) <= {b"A" * 100_000, b"B" * 100_000}
    write_folder(folder, {"0.txt": b"new"}, force=True)
    assert names(folder) == [f"{k}.txt" for k in range(5)]
    assert names(tmp_path) == ["sheet"]


def test_a_new_folder_is_there_whole_or_not_at_all(tmp_path):
    """Killed with the folder half written: only its hidden self is there, until the next run."""
    program = """
import sys, time
from pathlib import Path
from glint.files.temporary import hidden_folder
with hidden_folder(Path(sys.argv[1])) as place:
    (place / "half.txt").write_text("half")
    print("written", flush=True)
    time.sleep(60)
"""
    killed(program, tmp_path)
    assert [name[:7] for name in names(tmp_path)] == [".glint-"]
    write_folder(tmp_path / "sheet", {"a.txt": b"one"})
    assert names(tmp_path) == ["sheet"]


def test_what_lives_is_left_alone(tmp_path):
    with hidden_file(tmp_path, ".png") as file, hidden_folder(tmp_path) as folder:
        clear_leftovers(tmp_path)
        assert file.exists() and folder.exists()
    assert names(tmp_path) == []


def test_only_our_own_leftovers_are_cleared(tmp_path):
    mine = tmp_path / "mine"
    mine.write_text("mine")
    number = "0123456789abcdef"
    (tmp_path / f".glint-{number}.png").write_text("left over")
    (tmp_path / f".glint-{number}").mkdir()
    kept = [".glint-notes", f".glint-{number[:-1]}", f"x.glint-{number}", ".glintrc"]
    for name in kept:
        (tmp_path / name).write_text("somebody's")
    (tmp_path / f".glint-{number}.link").symlink_to(mine)
    os.mkfifo(tmp_path / f".glint-{number}.pipe")
    clear_leftovers(tmp_path)
    assert names(tmp_path) == sorted(
        [*kept, "mine", f".glint-{number}.link", f".glint-{number}.pipe"]
    )
    assert mine.read_text() == "mine"


def test_where_nothing_can_be_locked_nothing_is_cleared(tmp_path, monkeypatch):
    monkeypatch.setattr("glint.files.temporary.fcntl", None)
    (tmp_path / ".glint-0123456789abcdef.png").write_text("left over")
    with whole_file(tmp_path / "quince.png") as place:
        place.write_text("whole")
    write_folder(tmp_path / "sheet", {"a.txt": b"one"})
    assert names(tmp_path) == [".glint-0123456789abcdef.png", "quince.png", "sheet"]


def test_two_that_make_the_same_folder_at_once(tmp_path, monkeypatch):
    """The other one is first: without force it stays, with force its files are replaced."""
    rename = Path.rename

    def too_late(self, target):
        target.mkdir(exist_ok=True)
        (target / "a.txt").write_text("theirs")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", too_late)
    with pytest.raises(Exception, match=r"a\.txt exists; --force replaces it"):
        write_folder(tmp_path / "sheet", {"a.txt": b"ours"})
    assert (tmp_path / "sheet" / "a.txt").read_text() == "theirs"
    (tmp_path / "sheet" / "a.txt").unlink()
    (tmp_path / "sheet").rmdir()
    write_folder(tmp_path / "sheet", {"a.txt": b"ours"}, force=True)
    assert (tmp_path / "sheet" / "a.txt").read_text() == "ours"
    assert names(tmp_path) == ["sheet"]
