"""How kernels are compiled, and where the compiled code is kept.

Compiled code is cached beside the source, or in the user's cache folder when the installation
is read-only. Where neither can be written, a temporary folder serves this one process; where
nothing at all can be written, nothing is kept: the tool works, and compiles again the next time.
"""

from __future__ import annotations

import atexit
import gc
import hashlib
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import Any

import numba
from numba.core.caching import FunctionCache
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler
from numba.core.registry import CPUDispatcher
from numba.core.runtime.nrt import rtsys

_STATE = re.compile("[0-9a-f]{16}")
"""Name of a folder of compiled code."""

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
    for source in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()[:16]


def _places() -> Iterator[Path]:
    """Where compiled code may be kept, the best place first."""
    wanted = os.environ.get("NUMBA_CACHE_DIR")
    if wanted:
        yield Path(wanted)
    state = _digest_of_kernels()
    yield Path(__file__).parent / "__pycache__" / state
    user_cache = os.environ.get("XDG_CACHE_HOME")
    try:
        yield (Path(user_cache) if user_cache else Path.home() / ".cache") / "glint" / state
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
        if not _STATE.fullmatch(other.name):
            continue
        try:
            unused = now - other.stat().st_mtime
        except FileNotFoundError:  # another start was quicker
            continue
        if unused > MONTH:
            shutil.rmtree(other, ignore_errors=True)  # or is at it


CACHE = _home_of_the_cache()
if CACHE:
    numba.config.CACHE_DIR = str(CACHE)  # pyright: ignore
    if _STATE.fullmatch(CACHE.name):
        _tidy(CACHE)


class _Kept(FunctionCache):
    """Compiled code on disk, fetched without all that compiling would need.

    Before it looks into its cache, numba learns every function it knows how to compile, among them
    linear algebra that it takes from SciPy: most of a start's time, for nothing where the code is
    there already. Where it is not, the compiler learns them itself.
    """

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        target_context.refresh = lambda: rtsys.initialize(target_context)
        try:
            return super().load_overload(sig, target_context)
        finally:
            del target_context.refresh


def is_cold() -> bool:
    """Whether nothing is compiled yet that a cache would keep."""
    return CACHE is not None and not any(CACHE.rglob("*.nbi"))


def kernel(function: Callable[..., Any]) -> Any:
    """Compile a pure function of plain arrays and numbers.

    Fast-math stays off: sums keep their order, so results are the same to the last bit on any
    number of threads. The global interpreter lock is released while a kernel runs.
    """
    return _compiled(function, False)


def contracted(function: Callable[..., Any]) -> Any:
    """A kernel whose products are added without being rounded first, where the processor can.

    For loops of pure arithmetic, a sixth quicker. Order is kept; no comparison in it may have to
    agree with another one of the same numbers elsewhere.
    """
    return _compiled(function, {"contract"})


def folded(function: Callable[..., Any]) -> Any:
    """A contracted function that is always made part of the loop that calls it.

    LLVM puts it there, once all is typed: `inlined` functions that call each other take numba
    seconds, and the code is the same.
    """
    return _compiled(function, {"contract"}, forceinline=True)


def _compiled(function: Callable[..., Any], fastmath: Any, **more: Any) -> Any:
    options = {"nopython": True, "nogil": True, "error_model": "numpy", "boundscheck": False}
    return _Kernel(function, targetoptions={**options, "fastmath": fastmath, **more})


class _Kernel(CPUDispatcher):
    """A function as Python calls it, and as kernels do: each is compiled when it is wanted.

    Until then little is made of it, since a start passes by some two hundred kernels and needs
    twenty.
    """

    def __init__(self, py_func: Any, locals: Any = None, targetoptions: Any = None) -> None:
        # Nobody calls a kernel from C.
        options = {**(targetoptions or {}), "no_cfunc_wrapper": True}
        super().__init__(py_func, locals or {}, options)

    @cached_property
    def _part(self) -> _Part:
        options = {**self.targetoptions, "no_cpython_wrapper": True}
        return _Part(self.py_func, self.locals, options, _Unfinished)

    def compile(self, sig: Any) -> Any:
        if CACHE is not None and not isinstance(self._cache, _Kept):
            self._cache = _Kept(self.py_func)
        with _no_collection():
            return super().compile(sig)

    def get_call_template(self, args: Any, kws: Any) -> Any:
        return self._part.get_call_template(args, kws)

    def get_overload(self, sig: Any) -> Any:
        return self._part.get_overload(sig)


@contextmanager
def _no_collection() -> Iterator[None]:
    """Leave garbage lie for a while: a compiler keeps so many objects that looking through them for
    garbage is a tenth of its work."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()


class _Part(CPUDispatcher):
    """A kernel as other kernels call it: nothing of it is ever run by itself."""

    def add_overload(self, cres: Any) -> None:
        # Callers know a function by where its code is. Where there is none, anything else will do.
        known_by, parts = object(), cres._asdict()
        self.targetctx.insert_user_function(known_by, parts["fndesc"], [parts["library"]])
        self.overloads[tuple(cres.signature.args)] = cres._replace(entry_point=known_by)


class _Unfinished(Compiler):
    """Compiles as far as callers want it."""

    def __init__(
        self,
        typingctx: Any,
        targetctx: Any,
        library: Any,
        args: Any,
        return_type: Any,
        flags: Any,
        locals: Any,
    ) -> None:
        flags.no_compile = True
        library = _Linkable(targetctx.codegen(), "part")
        super().__init__(typingctx, targetctx, library, args, return_type, flags, locals)


class _Linkable(JITCodeLibrary):
    """Code that is optimised and made into the processor's where it is called, and only there."""

    def _optimize_final_module(self) -> None:
        """Optimised is the caller."""

    def _finalize_final_module(self) -> None:
        self._finalized = True


def inlined(function: Callable[..., Any]) -> Any:
    """Compile a function as part of each kernel that calls it.

    A call hands over every number of every array, some hundreds where bodies, lamps and the room
    are asked for, which is as much work as following a ray by one mirror.
    """
    return numba.njit(function, inline="always", nogil=True, error_model="numpy")
