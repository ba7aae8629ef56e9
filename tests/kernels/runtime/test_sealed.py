"""Files with a checksum: what is not whole, or not ours, counts as missing."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from glint.kernels.runtime import sealed

CONTENT = b"code"


@pytest.fixture
def path(tmp_path) -> Path:
    found = tmp_path / "a.code"
    sealed.write(found, CONTENT)
    return found


def test_what_was_written_is_read(path):
    assert sealed.read(path) == CONTENT
    sealed.write(path, b"")
    assert sealed.read(path) == b""
    assert [p.name for p in path.parent.iterdir()] == ["a.code"]


def test_a_file_that_is_missing_or_cut_short_is_none(path):
    whole = path.read_bytes()
    assert sealed.read(path.with_name("b.code")) is None
    for length in range(len(whole)):
        path.write_bytes(whole[:length])
        assert sealed.read(path) is None, length
    path.write_bytes(whole + b"\0")
    assert sealed.read(path) is None


def test_any_bit_that_flips_is_noticed(path):
    whole = path.read_bytes()
    for bit in range(8 * len(whole)):
        damaged = bytearray(whole)
        damaged[bit // 8] ^= 1 << bit % 8
        path.write_bytes(damaged)
        assert sealed.read(path) is None, bit


@pytest.mark.skipif(os.name == "nt", reason="no such permissions")
def test_a_file_that_others_may_write_to_is_none(path):
    for mode in (0o620, 0o602):
        path.chmod(mode)
        assert sealed.read(path) is None
    path.chmod(0o644)
    assert sealed.read(path) == CONTENT


@pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root gives files away")
def test_a_file_of_somebody_else_is_none(path):
    os.chown(path, 1, 1)
    assert sealed.read(path) is None


def test_a_full_disk_is_told_and_leaves_what_was_there(path, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space"):
        sealed.write(path, b"newer")
    assert sealed.read(path) == CONTENT
    assert [p.name for p in path.parent.iterdir()] == ["a.code"]


def damage(path: Path) -> None:
    path.write_bytes(b"?" + path.read_bytes()[1:])


def test_files_that_others_write_are_kept_while_they_match(tmp_path):
    inner = tmp_path / "inner"
    inner.mkdir()
    for name in ("index", "data", "older"):
        (inner / name).write_bytes(name.encode())
    sealed.seal(tmp_path, {})
    (inner / "unsealed").write_bytes(b"unsealed")
    damage(inner / "data")
    damage(inner / "older.sum")
    seen = sealed.drop_damaged(tmp_path)
    assert [path.name for path in seen] == ["index"]
    assert sorted(p.name for p in inner.iterdir()) == ["index", "index.sum"]


def test_only_what_has_been_written_since_gets_a_new_checksum(tmp_path):
    for name in ("same", "written"):
        (tmp_path / name).write_bytes(b"first")
    sealed.seal(tmp_path, {})
    seen = sealed.drop_damaged(tmp_path)
    (tmp_path / "written").write_bytes(b"second")
    sealed.seal(tmp_path, seen)
    assert set(sealed.drop_damaged(tmp_path)) == {tmp_path / "same", tmp_path / "written"}
    (tmp_path / "same").write_bytes(b"later")
    assert set(sealed.drop_damaged(tmp_path)) == {tmp_path / "written"}
