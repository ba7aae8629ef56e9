"""A folder of files, whole or not at all."""

from __future__ import annotations

import pytest

from glint.build.folder import check_folder, write_folder
from glint.errors import GlintError, UsageError

FILES = {"a.txt": b"one", "b.txt": b"two"}


def test_a_new_folder_has_all_files(tmp_path):
    write_folder(tmp_path / "sheet", FILES)
    assert {p.name: p.read_bytes() for p in (tmp_path / "sheet").iterdir()} == FILES
    assert [p.name for p in tmp_path.iterdir()] == ["sheet"]


def test_files_there_are_kept_without_force(tmp_path):
    (tmp_path / "b.txt").write_text("mine")
    with pytest.raises(UsageError, match=r"b\.txt exists; --force replaces it"):
        write_folder(tmp_path, FILES)
    assert [p.name for p in tmp_path.iterdir()] == ["b.txt"]
    (tmp_path / "c.txt").write_text("mine too")
    write_folder(tmp_path, FILES, force=True)
    assert (tmp_path / "b.txt").read_bytes() == b"two"
    assert (tmp_path / "c.txt").read_text() == "mine too"


def test_nothing_is_left_of_a_folder_that_fails(tmp_path):
    with pytest.raises(GlintError):
        write_folder(tmp_path / "sheet", {"a.txt": b"one", "no/such/b.txt": b"two"})
    assert list(tmp_path.iterdir()) == []


def test_bad_places_are_told_before_any_work(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(UsageError, match="is not a folder"):
        check_folder(tmp_path / "file", FILES, force=True)
    with pytest.raises(UsageError, match="there is no folder"):
        check_folder(tmp_path / "no" / "such", FILES, force=False)
