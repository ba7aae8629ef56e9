"""The machine that was measured on, in one line: nothing private."""

from __future__ import annotations

import os
import platform
from datetime import date
from importlib.metadata import version
from pathlib import Path

from glint.kernels.runtime.threads import processors

PACKAGES = ("numpy", "numba", "embreex")


def machine() -> str:
    """Date, cores, load before the run, processor, system, and versions."""
    load = f" (load before: {os.getloadavg()[0]:.1f})" if hasattr(os, "getloadavg") else ""
    versions = ", ".join(f"{name} {version(name)}" for name in PACKAGES)
    today = date.today()
    return (
        f"{today.day} {today:%B %Y}; {processors()} cores{load}, {processor()}, "
        f"{platform.system()} {platform.machine()}; Python {platform.python_version()}, {versions}"
    )


def processor(told: Path = Path("/proc/cpuinfo")) -> str:
    """The processor's name as it gives it; where nobody tells it, its kind."""
    if told.is_file():
        for line in told.read_text().splitlines():
            key, _, name = line.partition(":")
            if key.strip() == "model name" and name.strip():
                return " ".join(name.split())
    return platform.processor() or platform.machine()
