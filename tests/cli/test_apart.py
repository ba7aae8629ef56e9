"""A stranger's folder as the current one: no module of it is run, no settings in it are obeyed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.command import MADE, environment
from tests.kill.run import COMMANDS, FREE, SCENE

OTHERS = {"numpy", "scipy", "numba", "llvmlite", "PIL", "av", "jinja2", "matplotlib", "click"}
OTHERS |= {"pydantic", "pydantic_core", "trimesh", "shapely", "tomlkit", "markupsafe", "networkx"}
OTHERS |= {"rich", "yaml", "lxml", "embreex", "distributed", "dask", "tornado", "msgpack"}
OTHERS |= {"sitecustomize", "usercustomize"}

TRAP = """\
open({mark!r}, "a").write({name!r} + "\\n")
raise ImportError("a trap")
"""

FOR_A_MODULE = "import runpy, pkgutil, importlib.util, sys; print(*sys.modules)"
"""What Python itself imports for `python -m`, before glint can be asked."""

ALL = {
    **COMMANDS,
    "check": ("check", SCENE),
    "spots": ("spots", SCENE),
    "measure": ("measure", SCENE, "--json"),
    "shapes": ("shapes",),
    "stock": ("stock", "--triangles", "20", "--squares", "6"),
}


def folder_of_traps(root: Path, but: set[str] | frozenset[str] = frozenset()) -> Path:
    """A stranger's folder with a module of every name that glint may import, but these."""
    place = root / "strange"
    place.mkdir()
    (place / SCENE).write_text(MADE + FREE)
    for name in {*sys.stdlib_module_names, *OTHERS} - but:
        (place / f"{name}.py").write_text(TRAP.format(mark=str(root / "ran"), name=name))
    (place / "matplotlibrc").write_bytes(b"\xff\xfe no settings")
    (place / ".numba_config.yaml").write_text("disable_jit: 1\n}{")
    return place


@pytest.fixture(scope="module")
def pythons_own():
    words = [sys.executable, "-S", "-c", FOR_A_MODULE]
    return set(subprocess.run(words, capture_output=True, text=True, check=True).stdout.split())


@pytest.mark.parametrize("name", ALL)
def test_no_command_runs_or_obeys_what_is_there(name, tmp_path, pythons_own):
    folder = folder_of_traps(tmp_path, pythons_own)
    done = subprocess.run(
        [sys.executable, "-m", "glint", *ALL[name]],
        cwd=folder,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / "ran").exists(), (tmp_path / "ran").read_text()


@pytest.mark.parametrize("name", ["still", "place", "build"])
def test_nor_does_the_installed_command(name, tmp_path):
    folder = folder_of_traps(tmp_path)
    script = Path(sys.executable).with_name("glint")
    if not script.exists():
        pytest.skip("glint is not installed here")
    more = environment()
    if name == "still":  # the first: kernels are compiled, by two processes
        more["NUMBA_CACHE_DIR"] = str(tmp_path / "cache")
    done = subprocess.run(
        [script, *ALL[name]], cwd=folder, env=more, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / "ran").exists(), (tmp_path / "ran").read_text()


def test_the_traps_would_be_seen(tmp_path):
    folder = folder_of_traps(tmp_path)
    """With the current folder on the path, a command falls into them."""
    words = [sys.executable, "-c", "from glint.cli import main; main()", "check", SCENE]
    subprocess.run(words, cwd=folder, env=environment(), capture_output=True, timeout=300)
    assert (tmp_path / "ran").exists()
