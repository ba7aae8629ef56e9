"""Kept apart from the current folder, which may be a stranger's: nothing in it is run or obeyed.

Only the command line, and processes that it starts, do so: it changes how this whole process
imports. Two packages look for settings in the current folder: matplotlib for `matplotlibrc` when
it is imported, numba for `.numba_config.yaml`, then and whenever it compiles.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from pathlib import Path
from types import ModuleType
from typing import Any

CURIOUS = ("matplotlib", "numba.core.config")
"""Modules that read settings from the current folder when they are imported."""


def keep_apart() -> None:
    """From now on, import those modules as if this process were somewhere else."""
    if not any(isinstance(finder, _Finder) for finder in sys.meta_path):
        sys.meta_path.insert(0, _Finder())


class _Finder(MetaPathFinder):
    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname not in CURIOUS:
            return None
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is not None and spec.loader is not None:
            spec.loader = _Elsewhere(spec.loader)
        return spec


class _Elsewhere(Loader):
    """A loader that runs a module in glint's own folder, where no settings are."""

    def __init__(self, loader: Any) -> None:
        self._loader = loader

    def __getattr__(self, name: str) -> Any:
        return getattr(self._loader, name)

    def create_module(self, spec: ModuleSpec) -> ModuleType | None:
        return self._loader.create_module(spec)

    def exec_module(self, module: ModuleType) -> None:
        with _in_our_folder():
            self._loader.exec_module(module)
        if module.__name__ == "numba.core.config":
            # It is asked for again by each compilation: a name that no file has.
            vars(module)["_config_fname"] = f"{os.devnull}/none"


@contextmanager
def _in_our_folder() -> Iterator[None]:
    try:
        before = os.getcwd()  # noqa: PTH109
        os.chdir(before)  # a folder that nobody could come back to is not left
        os.chdir(Path(__file__).parent)
    except OSError:
        yield
        return
    try:
        yield
    finally:
        os.chdir(before)
