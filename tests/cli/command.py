"""glint as a program of its own, and the scenes that its tests give it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]

DEMO = ROOT / "scenes" / "spiked-twenty.toml"

MADE = """
title = "Quince Night: made in a test"
[room]
radius_m = 2.0
[tile]
thickness_mm = 1.0
[[ball]]
name = "quince"
shape = { base = "octahedron" }
hang = { height_m = 1.2 }
motion = { rpm = 20.0 }
"""


def environment():
    """Ours, with glint found where these tests are, whatever the folder.

    No byte code is kept: where a test forbids large files, Python keeps a part of it, and fails on
    that ever after.
    """
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}


def glint(*arguments, cwd, **options):
    """Run `glint ...` to its end."""
    return subprocess.run(
        [sys.executable, "-m", "glint", *map(str, arguments)],
        cwd=cwd,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=300,
        **options,
    )


def printed(*arguments, cwd):
    """What `glint ...` prints where all goes well."""
    done = glint(*arguments, cwd=cwd)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def told(*arguments, cwd, status=2, **options):
    """The one line that `glint ...` says where it fails."""
    done = glint(*arguments, cwd=cwd, **options)
    assert (done.returncode, done.stdout) == (status, ""), done.stderr
    (line,) = done.stderr.splitlines()
    assert line.startswith("glint: ") and line.isprintable()
    return line


def start(*arguments, cwd, **more):
    """Start `glint ...`, with more in its environment."""
    return subprocess.Popen(
        [sys.executable, "-m", "glint", *map(str, arguments)],
        cwd=cwd,
        env={**environment(), **more},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@contextmanager
def filming(folder) -> Iterator[subprocess.Popen[str]]:
    """A long film of quince.toml into out.png under way: frames have been encoded, the hidden file
    has grown. Killed in the end."""
    (folder / "quince.toml").write_text(MADE.replace("rpm = 20.0", "rpm = 0.15"))
    words = ("loop", "quince.toml", "--size", 128, "-o", "out.png", "--force")
    with start(*words, cwd=folder) as child:
        try:
            deadline = time.monotonic() + 60
            while not any(path.stat().st_size > 20_000 for path in folder.glob(".glint-*")):
                assert child.poll() is None and time.monotonic() < deadline
                time.sleep(0.05)
            yield child
        finally:
            child.kill()


def names(folder):
    """Every name in a folder, hidden ones too."""
    return sorted(path.name for path in Path(folder).iterdir())
