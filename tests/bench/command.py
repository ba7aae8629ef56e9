"""The real command line in a process of its own: how long it takes, how much memory at most."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
SCENES = ROOT / "scenes"
LAUNCHER = Path(__file__).with_name("launcher.py")
# The unit of the kernel's ru_maxrss: bytes on macOS, kibibytes elsewhere.
UNIT = 1 if sys.platform == "darwin" else 1024

BARE = """
import sys
import numba
import numpy
from PIL import Image
side = int(sys.argv[1])
row = numpy.arange(side) % 251
Image.fromarray((row[:, None, None] * row[None, :, None] * [1, 2, 3] % 256).astype("u1")).save(
    sys.argv[2], "PNG"
)
"""
"""What any program of this kind does: start, import what computes and draws, write a picture."""


class Run(NamedTuple):
    """Wall-clock seconds, processor seconds of all cores, and peak resident memory, bytes."""

    seconds: float
    worked: float
    memory: float


_AS_INSTALLED = {
    key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"
}
"""What is installed keeps its modules' byte code; who works on sources may have forbidden it."""


def run(*arguments: object, **environment: str) -> Run:
    """Runs `glint ARGUMENTS` with more environment; raises where it fails."""
    return _timed("glint", ["-m", "glint", *map(str, arguments)], environment)


def run_part(frames: int, *arguments: object) -> Run:
    """Runs `glint loop ...` as far as its first frames, or all of it if it has no more."""
    part = ["-m", "tests.bench.child", "--frames", str(frames)]
    return _timed("glint", [*part, *map(str, arguments)], {})


def run_bare(size: int, picture: Path) -> Run:
    """Runs BARE: Python, its imports, and a picture `size` pixels wide."""
    return _timed("Python", ["-c", BARE, str(size), str(picture)], {})


def encode_alone(raw: Path, target: Path, job: str) -> float:
    """Seconds of encoding raw frames, of nothing else; see `alone.py`."""
    command = [sys.executable, "-m", "tests.bench.alone", str(raw), str(target), job]
    done = subprocess.run(
        command, env=_AS_INSTALLED, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True
    )
    return float(done.stdout)


def _timed(who: str, arguments: Sequence[str], environment: dict[str, str]) -> Run:
    launcher = subprocess.run(
        [sys.executable, "-I", "-S", str(LAUNCHER), sys.executable, *arguments],
        env=_AS_INSTALLED | environment,
        capture_output=True,
        cwd=ROOT,
        text=True,
    )
    if launcher.returncode:
        raise RuntimeError(f"{who} ended with {launcher.returncode}: {launcher.stderr}")
    seconds, worked, peak = (float(word) for word in launcher.stdout.split())
    return Run(seconds, worked, peak * UNIT)
