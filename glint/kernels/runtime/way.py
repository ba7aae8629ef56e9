"""Which of two ways kernels are compiled: with classes that numba keeps to itself, or plainly.

The private ones save much of a start and of a first run (`numba_private.py`), but may change with
any version of numba. So they are used with the versions that they were tried with, and no others.
"""

from __future__ import annotations

import os

import numba

TRIED = ("0.60", "0.61", "0.62", "0.63", "0.64", "0.65", "0.66", "0.67", "0.68")
"""Versions of numba that the private way was tried with."""


def takes_private_way(version: str, wish: str) -> bool:
    """Whether kernels are compiled with numba's private classes.

    version: numba's; wish: what GLINT_PLAIN_NUMBA says: anything forbids it
    """
    return not wish and ".".join(version.split(".")[:2]) in TRIED


PRIVATE = takes_private_way(numba.__version__, os.environ.get("GLINT_PLAIN_NUMBA", ""))
