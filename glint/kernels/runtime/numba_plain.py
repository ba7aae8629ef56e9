"""Kernels compiled as anybody may: by what numba documents, and nothing else.

For versions of numba that the private way was not tried with, and to hold it against
(GLINT_PLAIN_NUMBA=1). Results are the same; starts and first runs take longer.

numba writes and reads its cache itself. So its files are looked through when the program starts,
and what it wrote is given checksums when the program ends. A program that is killed has compiled
for itself alone.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numba

from glint.kernels.runtime import sealed
from glint.kernels.runtime.cache import CACHE
from glint.kernels.runtime.child import CHILD

_CONFIG: Any = numba.config  # pyright: ignore[reportPrivateImportUsage] - documented all the same

ROOM = 32 * 1024 * 1024
"""Bytes that must be free for code to be kept: numba gives up a picture where it cannot keep the
code for it. One still's kernels take 8.5 MB. A disk that fills up later still costs the
picture; the private way does without."""


def compiled(function: Callable[..., Any], **options: Any) -> Any:
    """A function as numba compiles it, kept in the cache."""
    with _cache_at(_KEEP):
        return numba.njit(cache=_KEEP is not None, nogil=True, error_model="numpy", **options)(
            function
        )


@numba.njit(inline="always")
def uncounted(given: Any) -> Any:
    """The same. Only the private way knows how to borrow arrays."""
    return given


@contextlib.contextmanager
def _cache_at(folder: Path | None) -> Iterator[None]:
    """Have numba keep code there, of what is made in this block: others may want theirs
    elsewhere."""
    before = _CONFIG.CACHE_DIR
    _CONFIG.CACHE_DIR = str(folder or "")
    try:
        yield
    finally:
        _CONFIG.CACHE_DIR = before


def _looked_through() -> Path | None:
    """The folder of kept code, without what is damaged; None where none can be kept."""
    if CACHE is None:
        return None
    if os.environ.get(CHILD):
        return CACHE  # the parent process has checked it, and will write the checksums
    try:
        seen = sealed.drop_damaged(CACHE)
        with tempfile.TemporaryFile(dir=CACHE) as file:
            if hasattr(os, "posix_fallocate"):
                os.posix_fallocate(file.fileno(), 0, ROOM)
    except OSError:
        return None
    atexit.register(_seal, CACHE, seen)
    return CACHE


def _seal(folder: Path, seen: sealed.Seen) -> None:
    with contextlib.suppress(OSError):  # what has no checksum is compiled again
        sealed.seal(folder, seen)


_KEEP = _looked_through()
