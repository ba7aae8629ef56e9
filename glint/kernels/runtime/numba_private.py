"""Kernels compiled with classes that numba keeps to itself: the only file that uses any.

They save 30 % of every start and 15 to 40 % of a first run: a kernel that others call is not
compiled for Python too, one that is kept is fetched without all that compiling takes, and only
what it needs is kept. `way.py` has the versions of numba that this was tried with.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import os
import pickle
import re
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import Any

from llvmlite import binding
from numba.core import cgutils, types
from numba.core.caching import NullCache
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler, CompileResult
from numba.core.registry import CPUDispatcher, cpu_target
from numba.core.runtime.nrt import rtsys
from numba.core.serialize import dumps
from numba.extending import intrinsic

from glint.kernels.runtime import sealed
from glint.kernels.runtime.cache import CACHE, CODE

# The counting of references is compiled at every start. That takes no interpreter lock, so it goes
# on beside what else is imported; the first call of a kernel waits for it.
_RUNTIME = threading.Thread(target=rtsys.initialize, args=(cpu_target.target_context,))
_RUNTIME.start()
if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_RUNTIME.join)  # the child would not have the thread, but its lock


def compiled(function: Callable[..., Any], **options: Any) -> Any:
    """A function that Python and kernels call, compiled when it is called, and kept."""
    always = {"nopython": True, "nogil": True, "error_model": "numpy", "boundscheck": False}
    return _Kernel(function, targetoptions={**always, "fastmath": False, **options})


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
        if CACHE is not None and not isinstance(self._cache, _Kept):
            self._cache = _Kept(self.py_func, CACHE)
        with _no_collection():
            return super().compile(sig)

    def get_call_template(self, args: Any, kws: Any) -> Any:
        return self._part.get_call_template(args, kws)

    def get_overload(self, sig: Any) -> Any:
        return self._part.get_overload(sig)


@contextmanager
def _no_collection() -> Iterator[None]:
    """Pause garbage collection: a compiler keeps so many objects that looking through them for
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


class _Kept(NullCache):
    """What is kept of a kernel that Python calls, a file for each kind of arguments: the
    processor's code and little else.

    numba keeps all of it as LLVM's code too, for others to be compiled with, and the surroundings
    of every function that was ever in it, each with a module to import. Nothing is compiled with
    such a kernel (`_Kernel`), and most of those surroundings no instruction names any more.
    Reading them takes longer than all the rest.

    Before it looks into a cache, numba learns every function it knows how to compile, among them
    linear algebra that it takes from SciPy: most of a start's time, for nothing where the code is
    there already. Where it is not, the compiler learns them itself.
    """

    def __init__(self, function: Any, folder: Path) -> None:
        self._folder = folder
        self._name = f"{Path(function.__code__.co_filename).stem}.{function.__qualname__}"

    @property
    def cache_path(self) -> str:
        """The folder."""
        return str(self._folder)

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The kernel for these types of arguments, or None where no whole file has it."""
        rtsys.initialize(target_context)
        key = _key(sig, target_context.codegen())
        content = sealed.read(self._file(key))
        if content is None:
            return None
        of, found = pickle.loads(content)
        return CompileResult._rebuild(target_context, *found) if of == key else None

    def save_overload(self, sig: Any, cres: Any) -> None:
        """Keep a kernel. Where the disk is full, or the folder has gone, it runs all the same."""
        if cres._asdict()["library"].has_dynamic_globals:  # places in this process's memory
            return
        key = _key(sig, cres.codegen)
        with contextlib.suppress(OSError):
            sealed.write(self._file(key), dumps((key, _reduced(cres))))

    def _file(self, key: Any) -> Path:
        digest = hashlib.sha256(str(key).encode()).hexdigest()[:16]
        return self._folder / f"{self._name}-{digest}{CODE}"


def _key(sig: Any, codegen: Any) -> Any:
    """What code is for: types of arguments, and a kind of processor."""
    return sig, codegen.magic_tuple()


def _reduced(cres: Any) -> Any:
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


@intrinsic
def _intrinsic_uncounted(context, given):
    """The same tuple of arrays, numbers and named tuples of arrays, with nothing to be counted."""

    def generate(context, builder, signature, values):
        return _uncounted(context, builder, signature.args[0], values[0])

    return given(given), generate


uncounted: Any = _intrinsic_uncounted


def _uncounted(context, builder, kind, value):
    if isinstance(kind, types.Array):
        array = context.make_array(kind)(context, builder, value)
        array.meminfo = cgutils.get_null_value(array.meminfo.type)
        return array._getvalue()
    for n, inner in enumerate(getattr(kind, "types", ())):  # a tuple, named or not
        part = builder.extract_value(value, n)
        value = builder.insert_value(value, _uncounted(context, builder, inner, part), n)
    return value
