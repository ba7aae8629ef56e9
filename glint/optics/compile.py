"""How kernels are compiled, and where the compiled code is kept.

Compiled code is cached beside the source, or in the user's cache folder when the installation
is read-only. Where neither can be written, a private temporary folder serves this one process:
the tool then works, and only compiles again the next time.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numba


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _digest_of_kernels() -> str:
    """A name for this very state of the kernels: a kernel's compiled code holds the code of those
    it calls, which a cache kept by file would not notice."""
    digest = hashlib.sha256()
    for source in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


def _give_the_cache_a_home() -> None:
    if os.environ.get("NUMBA_CACHE_DIR"):
        return
    state = _digest_of_kernels()
    beside_the_source = Path(__file__).parent / "__pycache__" / state
    user_cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "glint" / state
    for home in (beside_the_source, user_cache):
        if _can_write(home):
            break
    else:
        home = Path(tempfile.mkdtemp(prefix="glint-"))
    numba.config.CACHE_DIR = str(home)  # pyright: ignore


_give_the_cache_a_home()


def kernel(function: Callable[..., Any] | None = None, *, parallel: bool = False) -> Any:
    """Compile a pure function of plain arrays and numbers.

    Fast-math stays off: sums keep their order, so results are the same to the last bit on any
    number of threads. The global interpreter lock is released while a kernel runs.
    """

    def compiled(inner: Callable[..., Any]) -> Any:
        return numba.njit(
            inner, cache=True, nogil=True, parallel=parallel, error_model="numpy", boundscheck=False
        )

    return compiled if function is None else compiled(function)
