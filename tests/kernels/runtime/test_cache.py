"""Compiled code that is damaged, not ours, or cannot be kept: kernels are compiled again."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from glint.kernels.runtime.child import CHILD
from tests.kernels.installed import KERNEL, environment, kept, python

resource = pytest.importorskip("resource")

GONE = "import shutil; shutil.rmtree(CACHE)"
A_FILE = GONE + "; CACHE.write_text('no folder')"
WAYS = pytest.mark.parametrize("plain", [None, "1"], ids=["private", "plain"])


DAMAGE: dict[str, tuple[str, Callable[[bytes], bytes]]] = {
    "cut short": ("", lambda data: data[: len(data) // 2]),
    "random": ("", lambda data: random.Random(1).randbytes(len(data))),
    "code": (".nbc .code", lambda data: data[:-9] + bytes([data[-9] ^ 1]) + data[-8:]),
    "index": (".nbi", lambda data: data[:40] + bytes([data[40] ^ 1]) + data[41:]),
}
"""What becomes of files with these endings, or of all; `test_sealed.py` has every bit."""


def files(place: str) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in Path(place).rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    "plain, name",
    [(None, "cut short"), (None, "code"), ("1", "random"), ("1", "code"), ("1", "index")],
)
def test_damaged_code_is_compiled_again(plain, name, install, tmp_path):
    around = {"HOME": str(tmp_path), "GLINT_PLAIN_NUMBA": plain}
    place, there = kept(install, **around)
    assert there == "True"
    endings, damage = DAMAGE[name]
    damaged = {
        path: damage(data)
        for path, data in files(place).items()
        if not endings or path.suffix in endings.split()
    }
    assert damaged
    for path, data in damaged.items():
        path.write_bytes(data)
    assert kept(install, **around) == (place, "True")
    assert not set(files(place).items()) & set(damaged.items())


@WAYS
def test_two_processes_at_once(plain, install, tmp_path):
    around = {"HOME": str(tmp_path), "GLINT_PLAIN_NUMBA": plain}
    script = KERNEL.format(before="", between="")
    both = [
        subprocess.Popen(
            [sys.executable, "-c", script],
            env=environment(install, **around),
            cwd=install,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    for each in both:
        out, err = each.communicate(timeout=120)
        assert (each.returncode, err) == (0, "")
        assert out.startswith("True False\n")
    assert kept(install, **around)[1] == "True"


@WAYS
def test_a_full_disk_costs_no_result(plain, install, tmp_path):
    """The system's limit on the size of files stands in for a full disk."""

    def full():
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    around = {"HOME": str(tmp_path), "GLINT_PLAIN_NUMBA": plain}
    place, there = kept(install, preexec_fn=full, **around)
    assert there == "False"
    assert files(place) == {}
    assert kept(install, **around) == (place, "True")


@pytest.mark.parametrize("between", [GONE, A_FILE], ids=["vanishes", "becomes a file"])
def test_a_folder_that_goes_while_kernels_run_costs_no_result(between, install, tmp_path):
    place, there = kept(install, between=between, HOME=str(tmp_path))
    assert Path(place).is_relative_to(tmp_path)
    assert there == "False"


@pytest.mark.parametrize("variable", ["XDG_CACHE_HOME", "NUMBA_CACHE_DIR"])
def test_a_relative_path_is_passed_over(variable, install, tmp_path):
    before = {path.name for path in install.iterdir()}
    place, there = kept(install, HOME=str(tmp_path / "home"), **{variable: "here"})
    assert Path(place).parent == tmp_path / "home" / ".cache" / "glint"
    assert there == "True"
    assert {path.name for path in install.iterdir()} == before


@pytest.mark.parametrize("whose", ["group", "others", "another user", "a link"])
def test_a_folder_that_others_may_write_to_is_passed_over(whose, install, tmp_path):
    shared, home = str(tmp_path / "shared"), str(tmp_path / "home")
    place = Path(kept(install, NUMBA_CACHE_DIR=shared, HOME=home)[0])
    assert place.parent == tmp_path / "shared" / "glint"
    if whose == "a link":
        place.rename(tmp_path / "elsewhere")
        place.symlink_to(tmp_path / "elsewhere")
    elif whose == "another user":
        if os.geteuid() != 0:
            pytest.skip("only root gives folders away")
        os.chown(place, 1, 1)
    else:
        place.chmod(0o720 if whose == "group" else 0o702)
    other, there = kept(install, NUMBA_CACHE_DIR=shared, HOME=home)
    assert Path(other).parent == tmp_path / "home" / ".cache" / "glint"
    assert there == "True"


def test_what_is_kept_is_closed_to_others(install, tmp_path):
    def generous():
        os.umask(0)

    place, _ = kept(install, preexec_fn=generous, HOME=str(tmp_path))
    for path in (Path(place), *files(place)):
        assert path.stat().st_mode & 0o022 == 0


def test_plain_code_is_fetched_too(install, tmp_path):
    """Neither written again nor compiled."""
    around = {"HOME": str(tmp_path), "GLINT_PLAIN_NUMBA": "1"}
    hits = "print(may_meet.stats.cache_hits.total())"
    found = []
    for _ in range(2):
        done = python(install, "-c", KERNEL.format(before="", between="") + hits, **around)
        assert (done.returncode, done.stderr) == (0, "")
        found.append(done.stdout.splitlines()[-1])
    assert found == ["0", "1"]


FRESH = """
from glint.kernels.runtime.cache import CACHE
fresh = CACHE / "fresh.nbi"
fresh.write_bytes(b"what the parent process has just compiled, without a checksum yet")
import glint.kernels.runtime.numba_plain
print(fresh.exists())
"""


@pytest.mark.parametrize("child", [None, "1"])
def test_a_child_leaves_what_its_parent_has_just_kept(child, install, tmp_path):
    around = {"HOME": str(tmp_path), "GLINT_PLAIN_NUMBA": "1", CHILD: child}
    done = python(install, "-c", FRESH, **around)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip() == str(child is not None)
