"""Kinds that stand in a file each: what is in a package's files is registered by importing them."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable
from importlib import import_module


def import_all(package: str, folders: Iterable[str]) -> None:
    """Import every module of a package, by name. folders: its `__path__`."""
    for name in sorted(module.name for module in pkgutil.iter_modules(folders)):
        import_module(f"{package}.{name}")
