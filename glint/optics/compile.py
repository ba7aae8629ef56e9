"""How kernels are compiled, and where the compiled code is kept.

Compiled code is cached beside the source, or in the user's cache folder when the installation
is read-only. Where neither can be written, a private temporary folder serves this one process:
the tool then works, and only compiles again the next time.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., Any])


def _can_write(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


def _give_the_cache_a_home() -> None:
    if os.environ.get("NUMBA_CACHE_DIR"):
        return
    beside_the_source = Path(__file__).parent / "__pycache__"
    user_cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "glint"
    if _can_write(beside_the_source):
        return
    home = user_cache if _can_write(user_cache) else Path(tempfile.mkdtemp(prefix="glint-"))
    numba.config.CACHE_DIR = str(home)


_give_the_cache_a_home()


def kernel(function: Function | None = None, *, parallel: bool = False) -> Any:
    """Compile a pure function of plain arrays and numbers.

    Fast-math stays off: sums keep their order, so results are the same to the last bit on any
    number of threads. The global interpreter lock is released while a kernel runs.
    """

    def compiled(inner: Function) -> Any:
        return numba.njit(
            inner, cache=True, nogil=True, parallel=parallel, error_model="numpy", boundscheck=False
        )

    return compiled if function is None else compiled(function)
