"""`python -m tests.smoke`: every command that writes or measures, once, by this very Python.

glint is the one that `python -m glint` finds from a folder of its own: the installed one, unless
PYTHONPATH says otherwise. Kernels are compiled anew, for that is where versions differ most.
"""

from __future__ import annotations

import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from tests.smoke import scenes
from tests.smoke.outputs import UnsoundError, check

TIMEOUT = 600.0
"""Seconds that a command may take, on a busy machine too."""

SHOWN = ("numpy", "numba", "scipy", "shapely", "trimesh", "pydantic", "click", "rich", "jinja2")
SHOWN += ("matplotlib", "tomlkit", "pillow", "av")

_WARNING = re.compile(r"\b(\w*Warning)\b")
_QUIET = ("DeprecationWarning", "ImportWarning", "ResourceWarning")
"""Endings of what Python hides: from another package's file that is the package's own business."""


class Step(NamedTuple):
    """A command, the files that it must write, and a word that it must print."""

    words: str
    outputs: tuple[str, ...] = ()
    says: str = ""


SHEET = tuple(
    f"sheet/{name}"
    for name in ("sheet.html", "sheet.txt", "sheet.json", "lantern-net.svg", "lantern-net.pdf")
)
STEPS = (
    Step("check everything.toml", says="lantern"),
    Step("still everything.toml --size 64 -o s.png --data s.npz", ("s.png", "s.npz")),
    Step("still everything.toml --view eye --size 96x64 -o e.png", ("e.png",)),
    Step("loop everything.toml --size 64 --fps 5 --poster p.png -o l.mp4", ("l.mp4", "p.png")),
    Step("loop plain.toml --size 64 --fps 6 -o l.gif", ("l.gif",)),
    Step("measure plain.toml", says="spots"),
    Step(
        "compare candidates.toml --workers 1 -o r.html -o r.csv",
        ("r.html", "r.csv"),
        "ring-laid",
    ),
    Step("place place.toml --tries 20 --workers 1 -o n.toml", ("n.toml", "n.png"), "height"),
    Step("stock --triangles 60 --squares 12", says="octahedron"),
    Step("build everything.toml -o sheet", SHEET),
    Step("export everything.toml -o x.glb", ("x.glb",)),
    Step("export plain.toml --part mirrors -o x.stl", ("x.stl",)),
)


def main() -> int:
    """Run every step; 1 if one of them failed."""
    failed = 0
    with tempfile.TemporaryDirectory(prefix="glint-smoke-") as name:
        folder = Path(name)
        for scene in ("EVERYTHING", "PLAIN", "CANDIDATES", "PLACE"):
            path = folder / f"{scene.lower()}.toml"
            path.write_text(getattr(scenes, scene), encoding="utf-8")
        print(_about(folder), flush=True)
        for step in STEPS:
            began, used = time.monotonic(), _processor_time()
            try:
                run(step, folder)
            except UnsoundError as wrong:
                failed += 1
                told = f"FAILED\n    {wrong}"
            else:
                told = "ok"
            took, used = time.monotonic() - began, _processor_time() - used
            print(
                f"{took:6.1f} s ({used:4.1f} of processor)  glint {step.words}: {told}", flush=True
            )
    print(f"{len(STEPS) - failed} passed, {failed} failed")
    return 1 if failed else 0


def run(step: Step, folder: Path) -> None:
    """Run one command in a folder; `UnsoundError` if it fails, warns or writes something bad."""
    try:
        done = _python(folder, "-m", "glint", *step.words.split())
    except subprocess.TimeoutExpired as late:
        raise UnsoundError(f"not done after {TIMEOUT:.0f} s") from late
    if done.returncode:
        raise UnsoundError(f"exit status {done.returncode}: {done.stderr.strip()}")
    warnings = warnings_in(done.stderr + done.stdout)
    if warnings:
        raise UnsoundError("\n    ".join(warnings))
    if step.says not in done.stdout + done.stderr:
        raise UnsoundError(f"“{step.says}” is not in what it says: {done.stdout}{done.stderr}")
    for output in step.outputs:
        check(folder / output)


def warnings_in(text: str) -> list[str]:
    """The lines that warn, but for those that Python hides and another package's file gives."""
    found = []
    for line in text.splitlines():
        category = _WARNING.search(line)
        ours = re.search(r"[/\\]glint[/\\][\w/\\]+\.py:\d+: ", line)
        if category and (ours or not category[1].endswith(_QUIET)):
            found.append(line)
    return found


def _processor_time() -> float:
    """Seconds that all commands so far have kept processors busy."""
    times = os.times()
    return times.children_user + times.children_system


def _python(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run this Python in a folder, every warning shown, kernels compiled into that folder."""
    return subprocess.run(
        [sys.executable, *words],
        cwd=folder,
        env={
            **os.environ,
            "PYTHONWARNINGS": "default",
            "PYTHONUTF8": "1",
            "NUMBA_CACHE_DIR": str(folder / "kernels"),
            "GLINT_TRACEBACK": "1",
        },
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=TIMEOUT,
    )


def _about(folder: Path) -> str:
    """Which glint is tested, and beside which versions."""
    place = _python(folder, "-c", "import glint; print(glint.__file__)").stdout.strip()
    versions = ", ".join(f"{name} {version(name)}" for name in SHOWN)
    return f"Python {platform.python_version()}, {versions}\nglint is {place}"


if __name__ == "__main__":
    sys.exit(main())
