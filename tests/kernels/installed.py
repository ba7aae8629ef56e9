"""Python with a copy of glint, and a kernel that it runs."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

KERNEL = """
import sys
from pathlib import Path
import numpy as np
{before}
from glint.kernels.geometry.bounding_cone import may_meet
from glint.kernels.runtime.cache import CACHE
{between}
cone = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.1, 0.995])
print(may_meet(cone, 0.0, 0.0, 5.0, 0.1), may_meet(cone, 5.0, 0.0, 0.0, 0.1))
print(CACHE)
print(any(p.is_file() for p in Path(CACHE).rglob("*")) if CACHE else "none")
"""


def environment(site: Path, **more: str | None) -> dict[str, str]:
    """Ours, with this copy of glint and no cache of ours."""
    around: dict[str, str | None] = dict(os.environ)
    around |= {"PYTHONPATH": str(site), "PYTHONDONTWRITEBYTECODE": "1"}
    around |= {"NUMBA_CACHE_DIR": None, "XDG_CACHE_HOME": None, "GLINT_PLAIN_NUMBA": None}
    around |= more
    return {key: value for key, value in around.items() if value is not None}


def python(
    site: Path, *arguments: str, preexec_fn=None, **more: str | None
) -> subprocess.CompletedProcess:
    """Run Python to its end."""
    return subprocess.run(
        [sys.executable, *arguments],
        env=environment(site, **more),
        cwd=site,
        capture_output=True,
        text=True,
        timeout=120,
        preexec_fn=preexec_fn,
    )


def kept(
    site: Path, before: str = "", between: str = "", preexec_fn=None, **more: str | None
) -> tuple[str, str]:
    """Runs a kernel: where its code was kept, and whether any is there."""
    script = KERNEL.format(before=before, between=between)
    done = python(site, "-c", script, preexec_fn=preexec_fn, **more)
    assert (done.returncode, done.stderr) == (0, "")
    answer, place, there = done.stdout.splitlines()
    assert answer == "True False"
    return place, there
