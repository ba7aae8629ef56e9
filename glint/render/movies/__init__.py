"""Kinds of movie: a file of this folder each, whose name is the ending of its movies.

A file has one function that writes, under `movie`, which tells what such a movie can hold. Endings
are known without importing any of them, so that help is quick.
"""

from __future__ import annotations

import pkgutil
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from glint.render.movies.kind import MovieKind

ENDINGS = tuple(
    f".{module.name}" for module in pkgutil.iter_modules(__path__) if module.name != "kind"
)
"""All endings, as ".gif"."""


def kind_of(ending: str) -> MovieKind:
    """The kind with one of the `ENDINGS`."""
    return import_module(f"{__name__}.{ending[1:]}").KIND
