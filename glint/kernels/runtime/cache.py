"""Where compiled code is kept, and what of it.

Beside the source, or in the user's cache folder when the installation is read-only. Where neither
can be written, a temporary folder serves this one process; where nothing at all can be written,
nothing is kept: the tool works, and compiles again the next time.
"""

from __future__ import annotations

import atexit
import hashlib
import os
import re
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from llvmlite import binding
from numba.core.caching import CompileResultCacheImpl, FunctionCache, _CacheLocator
from numba.core.runtime.nrt import rtsys

_A_STATE = re.compile("[0-9a-f]{16}")
"""Name of a folder of compiled code."""

KERNELS = Path(__file__).parents[1]
"""The folder of all kernels."""

MONTH = 30 * 24 * 3600.0
"""Seconds."""


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
    for source in sorted(KERNELS.rglob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


STATE = _digest_of_kernels()


def _places() -> Iterator[Path]:
    """Where compiled code may be kept, the best place first."""
    wanted = os.environ.get("NUMBA_CACHE_DIR")
    if wanted:
        yield Path(wanted)
    yield KERNELS / "__pycache__" / STATE
    user_cache = os.environ.get("XDG_CACHE_HOME")
    try:
        yield (Path(user_cache) if user_cache else Path.home() / ".cache") / "glint" / STATE
    except RuntimeError:
        # Somebody without a home, as in many a container.
        return


def _home_of_the_cache() -> Path | None:
    for place in _places():
        if _can_write(place):
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


class _Place(_CacheLocator):
    """The folder of kept code, which has been seen to be writable once and for all kernels; numba
    finds that out for each of them. Code of any other state of the kernels is out of date."""

    def __init__(self, line: int) -> None:
        self._line = line

    @classmethod
    def from_function(cls, py_func: Any, py_file: str) -> _Place:
        return cls(py_func.__code__.co_firstlineno)

    def get_cache_path(self) -> str:
        return str(CACHE)

    def ensure_cache_path(self) -> None:
        Path(self.get_cache_path()).mkdir(parents=True, exist_ok=True)

    def get_source_stamp(self) -> str:
        return STATE

    def get_disambiguator(self) -> str:
        return str(self._line)


class _Lean(CompileResultCacheImpl):
    """What is kept of a kernel that Python calls: the processor's code and little else.

    numba keeps all of it as LLVM's code too, for others to be compiled with, and the surroundings
    of every function that was ever in it, each with a module to import. Nothing is compiled with
    such a kernel (`compile._Kernel`), and most of those surroundings no instruction names any more.
    Reading them takes longer than all the rest.
    """

    _locator_classes = (_Place,)

    def reduce(self, cres: Any) -> Any:
        (name, form, (code, _)), *rest, surroundings = cres._reduce()
        module = cres._asdict()["library"]._final_module
        named = Counter(_SURROUNDINGS.findall(str(module)))
        needed = tuple(env for env in surroundings if named[env.env_name] > 1)
        return ((name, form, (code, _only_names(module))), *rest, needed)


_SURROUNDINGS = re.compile(r'@"?(_ZN08NumbaEnv[^\s",)]*)')
"""Their names in LLVM's code: one stands there once as declared, and again where it is used."""


def _only_names(module: Any) -> bytes:
    """A module of functions of the same names that do nothing, for numba to look them up."""
    names = (function.name for function in module.functions if not function.is_declaration)
    text = "\n".join(f'define void @"{name}"() {{ ret void }}' for name in names)
    return binding.parse_assembly(text).as_bitcode()


class Kept(FunctionCache):
    """Compiled code on disk, fetched without all that compiling would need.

    Before it looks into its cache, numba learns every function it knows how to compile, among them
    linear algebra that it takes from SciPy: most of a start's time, for nothing where the code is
    there already. Where it is not, the compiler learns them itself.
    """

    _impl_class = _Lean

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        target_context.refresh = lambda: rtsys.initialize(target_context)
        try:
            return super().load_overload(sig, target_context)
        finally:
            del target_context.refresh


def is_cold() -> bool:
    """Whether nothing is compiled yet that a cache would keep."""
    return CACHE is not None and not any(CACHE.rglob("*.nbi"))
