"""The same scene gives the same bytes: on one thread and on two, and from two processes at once."""

from __future__ import annotations

import pytest

from tests.cli.command import MADE, names, start

WRITERS = {
    "npz": ("still", "s.toml", "--at", "10", "--size", "64", "-o", "{}.png", "--data", "{}.npz"),
    "gif": ("loop", "s.toml", "--size", "64", "--fps", "3", "-o", "{}.gif"),
    "mp4": ("loop", "s.toml", "--size", "96", "--fps", "3", "-o", "{}.mp4"),
    "glb": ("export", "s.toml", "--at", "10", "-o", "{}.glb"),
    "sheet": ("build", "s.toml", "-o", "{}.sheet"),
}


def ended(child):
    out, err = child.communicate(timeout=120)
    return child.returncode, out, err


def content(place):
    """The bytes of a file, or of every file in a folder by name."""
    if place.is_dir():
        return {path.name: path.read_bytes() for path in place.iterdir()}
    return place.read_bytes()


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "s.toml").write_text(MADE.replace("rpm = 20.0", "rpm = 60.0"))
    return tmp_path


def command(kind, stem):
    return [word.format(stem) for word in WRITERS[kind]]


@pytest.mark.parametrize("kind", WRITERS)
def test_one_thread_and_two_at_the_same_time(kind, folder):
    children = [
        start(*command(kind, stem), cwd=folder, GLINT_THREADS=threads)
        for threads, stem in (("1", "one"), ("2", "two"))
    ]
    for child in children:
        status, _, err = ended(child)
        assert (status, err) == (0, "")
    written = [name for name in names(folder) if name.startswith("one.")]
    assert f"one.{kind}" in written
    for name in written:
        first, second = content(folder / name), content(folder / name.replace("one", "two"))
        assert len(first) > 4 and first == second, name


def test_of_two_that_write_the_same_output_one_is_told(folder):
    children = [start(*command("sheet", "out"), cwd=folder, GLINT_THREADS="1") for _ in range(2)]
    results = sorted(ended(child) for child in children)
    assert [status for status, _, _ in results] == [0, 2]
    told = results[1][2]
    assert told.count("\n") == 1 and "exists; --force replaces it" in told
    assert names(folder) == ["out.sheet", "s.toml"]


def test_with_force_both_write_it_whole(folder):
    words = (*command("gif", "out"), "--force")
    children = [start(*words, cwd=folder, GLINT_THREADS="1") for _ in range(2)]
    assert [ended(child)[::2] for child in children] == [(0, "")] * 2
    assert names(folder) == ["out.gif", "s.toml"]
    assert (folder / "out.gif").read_bytes()[-1:] == b";"  # the trailer of a GIF (GIF89a)
