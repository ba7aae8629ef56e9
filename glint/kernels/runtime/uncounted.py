"""Arrays that a kernel only borrows.

A compiled function counts the references to every array that it slices, and threads that share an
array then wait for each other's counts. Its caller holds on to the arrays all the while, so the
counting is for nothing.

`uncounted(given)` is the same tuple of arrays, numbers and named tuples of arrays, with nothing to
be counted. Where kernels are compiled plainly it is the tuple itself, and the threads wait.
"""

from __future__ import annotations

from glint.kernels.runtime.way import PRIVATE

if PRIVATE:
    from glint.kernels.runtime.numba_private import uncounted
else:
    from glint.kernels.runtime.numba_plain import uncounted

__all__ = ["uncounted"]
