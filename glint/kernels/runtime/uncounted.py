"""Arrays that a kernel only borrows.

A compiled function counts the references to every array that it slices, and threads that share an
array then wait for each other's counts. Its caller holds on to the arrays all the while, so the
counting is for nothing.
"""

from __future__ import annotations

from typing import Any

from numba.core import cgutils, types
from numba.extending import intrinsic


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
