"""How kernels are compiled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numba

from glint.kernels.runtime.way import PRIVATE

if PRIVATE:
    from glint.kernels.runtime.numba_private import compiled
else:
    from glint.kernels.runtime.numba_plain import compiled


def kernel(function: Callable[..., Any]) -> Any:
    """Compile a pure function of plain arrays and numbers.

    Fast-math stays off: sums keep their order, so results are the same to the last bit on any
    number of threads. The global interpreter lock is released while a kernel runs.
    """
    return compiled(function)


def contracted(function: Callable[..., Any]) -> Any:
    """A kernel whose products are added without being rounded first, where the processor can.

    For loops of pure arithmetic, a sixth quicker. Order is kept; no comparison in it may have to
    agree with another one of the same numbers elsewhere.
    """
    return compiled(function, fastmath={"contract"})


def folded(function: Callable[..., Any]) -> Any:
    """A contracted function that is always made part of the loop that calls it.

    LLVM puts it there, once all is typed: `inlined` functions that call each other take numba
    seconds, and the code is the same.
    """
    return compiled(function, fastmath={"contract"}, forceinline=True)


def llvm_inlined(function: Callable[..., Any]) -> Any:
    """A kernel that LLVM always makes part of its caller, with the same roundings.

    For short functions behind a dispatcher that loops call for every texel.
    """
    return compiled(function, forceinline=True)


def inlined(function: Callable[..., Any]) -> Any:
    """Compile a function as part of each kernel that calls it.

    A call hands over every number of every array, some hundreds where bodies, lamps and the room
    are asked for, which is as much work as following a ray by one mirror.
    """
    return numba.njit(function, inline="always", nogil=True, error_model="numpy")
