"""Compiled code finds a place, or does without: a read-only install, no home, nothing writable.

A file where a folder is wanted stands in for a folder that cannot be written: unlike permissions
it stops the superuser too.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from tests.kernels.installed import KERNEL, kept, python

CALLER = """
import numpy as np
from glint.kernels.geometry.bounding_sphere import _about_corners, _distance
_about_corners(np.zeros((1, 3, 3)), np.zeros((1, 4)))
made = len(_about_corners.signatures), len(_distance.signatures)
away = _distance(np.zeros(3), np.array([0.0, 0.0, 4.0]))
print(made, away)
"""
STILL = """
import sys
from glint.render.still import draw
from glint.scene.build import build
from glint.schema.read import scene_of
ball = {"shape": {"base": "cube"}}
pose = build(scene_of({"room": {"radius_m": 3.0}, "ball": [ball]})).at(degrees=20.0)
before = set(sys.modules)
draw(pose, size=64)
print(sorted(name for name in set(sys.modules) - before if name.startswith("numba")))
"""
HOMELESS = """
import pwd
def nobody(uid):
    raise KeyError(uid)
pwd.getpwuid = nobody
"""
NO_TEMPORARY = """
import tempfile
def full(*args, **keys):
    raise OSError(30, "Read-only file system")
tempfile.mkdtemp = tempfile.TemporaryFile = full
"""


def test_a_read_only_install_keeps_its_code_in_the_users_cache(install, tmp_path):
    place, there = kept(install, HOME=str(tmp_path / "home"))
    assert Path(place).parent == tmp_path / "home" / ".cache" / "glint"
    assert there == "True"
    place, there = kept(install, XDG_CACHE_HOME=str(tmp_path / "cache"))
    assert Path(place).parent == tmp_path / "cache" / "glint"
    assert there == "True"


def test_code_of_other_states_goes_when_nobody_has_used_it_for_a_month(install, tmp_path):
    shared, days = tmp_path / ".cache" / "glint", 24 * 3600.0
    now = time.time()
    for name, age in (("0" * 16, 40), ("1" * 16, 20), ("kept by somebody else", 40)):
        folder = shared / name
        folder.mkdir(parents=True)
        (folder / "a.nbi").write_text("code")
        os.utime(folder, (now - age * days, now - age * days))
    place, _ = kept(install, HOME=str(tmp_path))
    os.utime(place, (now - 40 * days, now - 40 * days))
    assert kept(install, HOME=str(tmp_path)) == (place, "True")
    assert Path(place).stat().st_mtime > now - days
    assert {path.name for path in shared.iterdir()} == {
        Path(place).name,
        "1" * 16,
        "kept by somebody else",
    }


def test_code_that_is_there_is_fetched_without_what_compiling_it_takes(install, tmp_path):
    learned = 'print("numba.np.linalg" in sys.modules)'
    for compiles in (True, False):
        done = python(
            install, "-c", KERNEL.format(before="", between="") + learned, HOME=str(tmp_path)
        )
        assert (done.returncode, done.stderr) == (0, "")
        lines = done.stdout.splitlines()
        assert (lines[0], lines[-1]) == ("True False", str(compiles))


def test_kept_code_brings_no_more_of_numba_than_it_needs():
    for _ in ("compiled, or not", "fetched"):
        done = subprocess.run(
            [sys.executable, "-c", STILL], capture_output=True, text=True, check=True
        )
    assert done.stdout == "[]\n"


def test_what_only_kernels_call_is_not_made_for_python_too_until_it_calls_it(install, tmp_path):
    for _ in ("compiled", "fetched"):
        done = python(install, "-c", CALLER, HOME=str(tmp_path))
        assert (done.returncode, done.stderr, done.stdout) == (0, "", "(1, 0) 4.0\n")


def test_without_a_writable_home_a_temporary_folder_serves_and_goes(install, tmp_path):
    for before, home in (("", os.devnull), (HOMELESS, None)):
        place, there = kept(install, before, HOME=home, TMPDIR=str(tmp_path))
        assert Path(place).parent == tmp_path
        assert there == "True"
        assert not Path(place).exists()


def test_where_nothing_can_be_written_nothing_is_kept(install):
    assert kept(install, NO_TEMPORARY, HOME=os.devnull) == ("None", "none")


def test_a_folder_that_was_asked_for_but_cannot_be_written_is_passed_over(install, tmp_path):
    wrong = str(install / "glint" / "kernels" / "__pycache__" / "a")
    place, there = kept(install, NUMBA_CACHE_DIR=wrong, HOME=str(tmp_path))
    assert Path(place).parent == tmp_path / ".cache" / "glint"
    assert there == "True"


def test_the_command_line_works_from_a_read_only_install_without_a_home(install):
    scene = Path(__file__).parents[3] / "scenes" / "spiked-twenty.toml"
    done = python(install, "-m", "glint", "check", str(scene), HOME=os.devnull)
    assert (done.returncode, done.stderr) == (0, "")
    assert "spiked twenty" in done.stdout
