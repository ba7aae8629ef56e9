"""glint as a program of its own, and the scenes that its tests give it."""

from __future__ import annotations

import os
import subprocess
import sys
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
    """Ours, with glint found where these tests are, whatever the folder."""
    return {**os.environ, "PYTHONPATH": str(ROOT)}


def glint(*arguments, cwd, **options):
    """Run `glint ...` to its end."""
    return subprocess.run(
        [sys.executable, "-m", "glint", *map(str, arguments)],
        cwd=cwd,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=120,
        **options,
    )


def names(folder):
    """Every name in a folder, hidden ones too."""
    return sorted(path.name for path in Path(folder).iterdir())
