"""How kernels are compiled."""

from __future__ import annotations

import gc
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from typing import Any

import numba
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler
from numba.core.registry import CPUDispatcher, cpu_target
from numba.core.runtime.nrt import rtsys

from glint.kernels.runtime.cache import CACHE, Kept

# The counting of references is compiled at every start. That takes no interpreter lock, so it goes
# on beside what else is imported; whoever is earlier at a kernel waits for it.
_RUNTIME = threading.Thread(target=rtsys.initialize, args=(cpu_target.target_context,))
_RUNTIME.start()
if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_RUNTIME.join)  # the child would not have the thread, but its lock


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

    def _compilation_chain_init_hook(self) -> None:
        """Nothing: extensions of numba would be sought among all that is installed, and run."""

    @cached_property
    def _part(self) -> _Part:
        options = {**self.targetoptions, "no_cpython_wrapper": True}
        return _Part(self.py_func, self.locals, options, _Unfinished)

    def compile(self, sig: Any) -> Any:
        if CACHE is not None and not isinstance(self._cache, Kept):
            self._cache = Kept(self.py_func)
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
