"""Where compiled code is kept.

Beside the source, or in the user's cache folder when the installation is read-only. Where neither
can be written, a temporary folder serves this one process; where nothing at all can be written,
nothing is kept: the tool works, and compiles again the next time.

Anybody who can write to such a folder can make this program run anything. So a folder is used only
if it is this user's and nobody else may write to it, and never one that depends on the current
folder: a relative path in NUMBA_CACHE_DIR or XDG_CACHE_HOME is passed over.
"""

from __future__ import annotations

import atexit
import hashlib
import os
import re
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import llvmlite
import numba

from glint.kernels.runtime.sealed import only_ours
from glint.kernels.runtime.way import PRIVATE

CODE = ".code"
"""Ending of a file of compiled code."""

_A_STATE = re.compile("[0-9a-f]{16}")
"""Name of a folder of compiled code."""

KERNELS = Path(__file__).parents[1]
"""The folder of all kernels."""

MONTH = 30 * 24 * 3600.0
"""Seconds."""


def _can_be_trusted_and_written(folder: Path) -> bool:
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        folder.mkdir(mode=0o700, exist_ok=True)
        found = folder.lstat()
        if not (stat.S_ISDIR(found.st_mode) and only_ours(found)):
            return False
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _digest_of_kernels() -> str:
    """A name for this very state of the kernels, and of what compiles them: a kernel's compiled
    code holds the code of those it calls, which a cache kept by file would not notice."""
    compilers = (sys.implementation.cache_tag, numba.__version__, llvmlite.__version__, PRIVATE)
    digest = hashlib.sha256(repr(compilers).encode())
    for source in sorted(KERNELS.rglob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


STATE = _digest_of_kernels()


def _places() -> Iterator[Path]:
    """Where compiled code may be kept, the best place first."""
    wanted = os.environ.get("NUMBA_CACHE_DIR", "")
    if Path(wanted).is_absolute():
        yield Path(wanted) / "glint" / STATE
    yield KERNELS / "__pycache__" / STATE
    user_cache = os.environ.get("XDG_CACHE_HOME", "")
    try:
        home = Path(user_cache) if Path(user_cache).is_absolute() else Path.home() / ".cache"
    except RuntimeError:
        # Somebody without a home, as in many a container.
        return
    if home.is_absolute():
        yield home / "glint" / STATE


def _home_of_the_cache() -> Path | None:
    for place in _places():
        if _can_be_trusted_and_written(place):
            return place
    try:
        place = Path(tempfile.mkdtemp(prefix="glint-"))
    except OSError:
        return None
    atexit.register(shutil.rmtree, place, ignore_errors=True)
    return place


def _tidy(place: Path) -> None:
    """Remove code compiled from other states of the kernels that nobody has used for a month; who
    develops leaves one with every change."""
    os.utime(place)
    now = place.stat().st_mtime
    for other in list(place.parent.iterdir()):
        if not _A_STATE.fullmatch(other.name):
            continue
        try:
            unused = now - other.stat().st_mtime
        except FileNotFoundError:  # another start was quicker
            continue
        if unused > MONTH:
            shutil.rmtree(other, ignore_errors=True)  # or is at it


CACHE = _home_of_the_cache()
if CACHE and _A_STATE.fullmatch(CACHE.name):
    _tidy(CACHE)


def is_cold() -> bool:
    """Whether nothing is compiled yet that a cache would keep."""
    return CACHE is not None and not any(CACHE.glob(f"*{CODE}"))
