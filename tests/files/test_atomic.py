"""Files appear whole or not at all, whatever goes wrong on the way."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from glint.errors import GlintError, UsageError
from glint.files.atomic import check_output, whole_file
from glint.render.movies import ENDINGS


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_file_appears_only_when_the_block_has_ended_well(tmp_path):
    with whole_file(tmp_path / "quince.npz") as temporary:
        assert temporary.parent == tmp_path
        assert temporary.suffix == ".npz"
        assert temporary.name.startswith(".")
        temporary.write_text("whole")
        assert not (tmp_path / "quince.npz").exists()
    assert names(tmp_path) == ["quince.npz"]
    assert (tmp_path / "quince.npz").read_text() == "whole"


def test_a_new_file_has_the_usual_permissions(tmp_path):
    (tmp_path / "usual").write_text("")
    with whole_file(tmp_path / "quince.png"):
        pass
    assert (tmp_path / "quince.png").stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.parametrize("stop", [ValueError, KeyboardInterrupt, SystemExit, MemoryError])
def test_a_failure_in_the_middle_leaves_nothing(tmp_path, stop):
    with pytest.raises(stop), whole_file(tmp_path / "quince.png") as temporary:
        temporary.write_text("half")
        raise stop
    assert names(tmp_path) == []


def test_a_failure_leaves_an_older_file_untouched(tmp_path):
    path = tmp_path / "quince.png"
    path.write_text("older")
    with pytest.raises(ValueError), whole_file(path, force=True) as temporary:
        temporary.write_text("half")
        raise ValueError
    assert path.read_text() == "older"
    assert names(tmp_path) == ["quince.png"]


def test_an_existing_file_is_refused_before_the_work(tmp_path):
    path = tmp_path / "quince.png"
    path.write_text("older")
    started = False
    with pytest.raises(UsageError) as told, whole_file(path):
        started = True
    assert not started
    assert str(told.value) == f"{path} exists; --force replaces it"
    assert told.value.exit_status == 2
    assert path.read_text() == "older"
    with whole_file(path, force=True) as temporary:
        temporary.write_text("newer")
    assert path.read_text() == "newer"


def test_a_file_that_appears_meanwhile_is_kept(tmp_path):
    path = tmp_path / "quince.png"
    with pytest.raises(UsageError, match="exists"), whole_file(path) as temporary:
        temporary.write_text("ours")
        path.write_text("theirs")
    assert path.read_text() == "theirs"
    assert names(tmp_path) == ["quince.png"]


def test_a_file_system_without_hard_links_will_do(tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "quince.png"
    with whole_file(path) as temporary:
        temporary.write_text("ours")
    assert path.read_text() == "ours"
    with pytest.raises(UsageError, match="exists"), whole_file(tmp_path / "b.png") as temporary:
        (tmp_path / "b.png").write_text("theirs")
    assert names(tmp_path) == ["b.png", "quince.png"]


def test_two_programs_may_write_the_same_file(tmp_path):
    path = tmp_path / "quince.png"
    with whole_file(path, force=True) as first, whole_file(path, force=True) as second:
        assert first != second
        first.write_text("first")
        second.write_text("second")
    assert path.read_text() == "first"  # its block ended last
    assert names(tmp_path) == ["quince.png"]


def test_a_link_stays_a_link(tmp_path):
    (tmp_path / "kept").mkdir()
    link = tmp_path / "quince.png"
    link.symlink_to(tmp_path / "kept" / "real.png")
    with whole_file(link) as temporary:
        assert temporary.parent == tmp_path / "kept"
        temporary.write_text("whole")
    assert link.is_symlink()
    assert (tmp_path / "kept" / "real.png").read_text() == "whole"


def test_a_full_disk_is_told_in_one_line(tmp_path):
    path = tmp_path / "quince.png"
    with pytest.raises(GlintError) as told, whole_file(path):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert str(told.value) == f"{path} cannot be written: no space left on device"
    assert told.value.exit_status == 1
    assert names(tmp_path) == []


def test_a_full_disk_is_noticed_at_the_very_end(tmp_path, monkeypatch):
    def full(_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    path = tmp_path / "quince.png"
    with pytest.raises(GlintError, match="no space left"), whole_file(path) as temporary:
        temporary.write_text("whole")
    assert names(tmp_path) == []


def test_a_folder_that_may_not_be_written_is_told_before_the_work(tmp_path, monkeypatch):
    def refuse(*_, **__):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "open", refuse)  # as root, permissions alone would not refuse
    started = False
    path = tmp_path / "quince.png"
    with pytest.raises(GlintError) as told, whole_file(path):
        started = True
    assert not started
    assert str(told.value) == f"{path} cannot be written: permission denied"
    assert told.value.exit_status == 1


@pytest.mark.parametrize(
    "name, message",
    [
        ("no/such/quince.png", "there is no folder"),
        ("quince", 'found no ending; allowed: ".png", ".webp"'),
        ("quince.pmg", 'found ending ".pmg"; allowed: ".png", ".webp"; did you mean ".png"?'),
        ("folder.png", "is a folder"),
        ("pipe.png", "is not a regular file"),
        ("file/quince.png", "there is no folder"),
    ],
)
def test_places_that_cannot_be(tmp_path, name, message):
    (tmp_path / "folder.png").mkdir()
    (tmp_path / "file").write_text("")
    os.mkfifo(tmp_path / "pipe.png")
    before = names(tmp_path)
    with pytest.raises(UsageError) as told:
        check_output(tmp_path / name, force=True, endings=(".png", ".webp"))
    assert message in str(told.value)
    assert "\n" not in str(told.value)
    assert names(tmp_path) == before


def test_capitals_in_an_ending_do_not_matter(tmp_path):
    check_output(tmp_path / "QUINCE.PNG", endings=(".png",))


def test_a_name_too_long_is_told(tmp_path):
    with pytest.raises(UsageError, match=r"q\.\.\.: found a name that is too long"):
        check_output(tmp_path / ("q" * 300 + ".png"))


def test_signals_are_as_before_afterwards(tmp_path):
    before = signal.getsignal(signal.SIGTERM)
    with whole_file(tmp_path / "quince.png"):
        assert signal.getsignal(signal.SIGTERM) is signal.default_int_handler
    assert signal.getsignal(signal.SIGTERM) is before


def test_other_threads_may_write_too(tmp_path):
    def write() -> None:
        with whole_file(tmp_path / "quince.png") as temporary:
            temporary.write_text("whole")

    thread = threading.Thread(target=write)
    thread.start()
    thread.join()
    assert names(tmp_path) == ["quince.png"]


SLOW = """
import signal, sys, time
signal.signal(signal.SIGHUP, signal.SIG_DFL)  # nohup may have had it ignored
from glint.files.atomic import whole_file
with whole_file(sys.argv[1]) as temporary:
    temporary.write_text("half")
    print("half", flush=True)
    time.sleep(60)
"""


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_program_that_is_stopped_leaves_nothing(tmp_path, number):
    child = subprocess.Popen(
        [sys.executable, "-c", SLOW, str(tmp_path / "quince.png")],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=Path(__file__).parents[2],
    )
    try:
        assert child.stdout is not None
        assert child.stdout.readline() == b"half\n"
        assert len(names(tmp_path)) == 1
        child.send_signal(number)
        assert child.wait(timeout=20) != 0
    finally:
        child.kill()
        child.wait()
    assert names(tmp_path) == []


TOO_LARGE = """
import resource, sys
sys.dont_write_bytecode = True  # Python would keep a part of it
import numpy as np
from glint.render.writers.movie import write_movie
from glint.files.atomic import whole_file
from glint.errors import GlintError
resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
noise = np.random.default_rng(1)
frames = (noise.integers(0, 256, (128, 128, 3), dtype=np.uint8) for _ in range(5))
try:
    with whole_file(sys.argv[1]) as temporary:
        write_movie(temporary, frames, 5, 25)
except GlintError as error:
    print(error)
"""


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_movie_that_the_disk_does_not_take_is_not_kept(tmp_path, ending):
    """The system's limit on the size of files stands in for a full disk."""
    path = tmp_path / f"quince{ending}"
    done = subprocess.run(
        [sys.executable, "-c", TOO_LARGE, str(path)],
        capture_output=True,
        text=True,
        timeout=60,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout == f"{path} cannot be written: file too large\n"
    assert names(tmp_path) == []
