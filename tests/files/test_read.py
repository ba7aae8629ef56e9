"""Files that a scene names: what is read, and what is never opened."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from glint.files.read import FileError, read_named_file, read_regular_file


def refusal(folder: Path, name: str, limit: int = 100) -> str:
    with pytest.raises(FileError) as caught:
        read_named_file(folder, name, limit)
    assert caught.value.exit_status == 2
    assert str(caught.value).isprintable()
    return str(caught.value)


def test_a_file_beside_the_scene_and_one_up_and_over_are_read(tmp_path):
    (tmp_path / "scenes").mkdir()
    (tmp_path / "lamps").mkdir()
    (tmp_path / "scenes/near.ies").write_bytes(b"near")
    (tmp_path / "lamps/far.ies").write_bytes(b"far")
    assert read_named_file(tmp_path / "scenes", "near.ies") == b"near"
    assert read_named_file(tmp_path / "scenes", "../lamps/far.ies") == b"far"


def test_the_limit_is_the_last_size_that_is_read(tmp_path):
    (tmp_path / "x").write_bytes(b"1" * 2048)
    assert len(read_named_file(tmp_path, "x", 2048)) == 2048
    told = refusal(tmp_path, "x", 2047)
    assert 'found "x", a file that is too large; allowed: at most 1 KiB' in told


@pytest.mark.parametrize(
    "name", ["/etc/hostname", "C:\\q.ies", "C:q.ies", "\\q.ies", "\\\\a\\b\\q"]
)
def test_absolute_paths_are_refused(tmp_path, name):
    assert "the absolute path" in refusal(tmp_path, name)


@pytest.mark.parametrize("name", ["", "  ", "a\0b"])
def test_names_that_name_nothing_are_refused(tmp_path, name):
    assert "allowed: the path of a file, relative to the scene file" in refusal(tmp_path, name)


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path):
    (tmp_path / "quince-spot.ies").write_bytes(b"")
    (tmp_path / "pear.toml").write_bytes(b"")
    told = refusal(tmp_path, "quince_spt.ies")
    assert told == (
        'found "quince_spt.ies", no such file; allowed: a file that is there; '
        'did you mean "quince-spot.ies"?'
    )
    assert "did you mean" not in refusal(tmp_path, "elsewhere/quince-spot.ies")


def test_folders_are_refused(tmp_path):
    assert "a folder" in refusal(tmp_path, ".")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_pipes_and_devices_are_refused_without_opening_them(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert "a device or pipe" in refusal(tmp_path, "pipe")
    (tmp_path / "zero").symlink_to("/dev/zero")
    assert "a device or pipe" in refusal(tmp_path, "zero")


def test_a_file_that_may_not_be_read_is_told(tmp_path, monkeypatch):
    path = tmp_path / "locked"
    path.write_bytes(b"x")

    def locked(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", locked)
    with pytest.raises(FileError, match="may not be read"):
        read_regular_file(path, 10)


def test_a_name_that_is_too_long_is_told(tmp_path):
    assert "cannot be read" in refusal(tmp_path, "x" * 900)


def test_a_loop_of_links_is_told(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    assert "cannot be read" in refusal(tmp_path, "a")
