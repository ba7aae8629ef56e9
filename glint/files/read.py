"""Files are only ever read: regular ones, whole, and no larger than a limit."""

from __future__ import annotations

import os
import stat
from itertools import islice
from pathlib import Path, PurePosixPath, PureWindowsPath

from glint.errors import GlintError, in_words, nearest_spelling

SCENE_LIMIT = 1 << 20
LAMP_LIMIT = 1 << 20
MESH_LIMIT = 1 << 24
"""Bytes that a scene file, or a lamp file or mesh file that it names, may have."""

MESH_ENDINGS = ("stl", "obj", "ply", "glb")
"""Endings of the names of mesh files, each of which fixes the format."""

_A_SCENE_SAYS = "the path of a file, relative to the scene file"


class FileError(GlintError):
    """A file that cannot be read; found, allowed and nearest are as in Problem."""

    exit_status = 2

    def __init__(self, found: str, allowed: str, nearest: str | None = None) -> None:
        self.found = found
        self.allowed = allowed
        self.nearest = nearest
        hint = f"; did you mean {in_words(nearest)}?" if nearest else ""
        super().__init__(f"found {found}; allowed: {allowed}{hint}")


def read_named_file(folder: Path, name: str, limit: int = LAMP_LIMIT) -> bytes:
    """The content of a file that a scene names, looked up from the scene's folder.

    The name may lead out of the folder by "..", but must not be absolute. Raises FileError.
    """
    if (found := unfit_name(name)) is not None:
        raise FileError(found, _A_SCENE_SAYS)
    return read_regular_file(folder / name, limit, shown=in_words(name))


def unfit_name(name: str) -> str | None:
    """Why a name cannot be that of a file beside a scene, in words; None if it can."""
    if not name.strip() or "\0" in name:
        return in_words(name)
    windows = PureWindowsPath(name)
    if PurePosixPath(name).is_absolute() or windows.drive or windows.root:
        return f"the absolute path {in_words(name)}"
    return None


def read_regular_file(path: Path, limit: int, shown: str = "") -> bytes:
    """The content of a regular file of at most `limit` bytes.

    shown: what an error calls the file; by itself "a file" is said. Raises FileError. Devices and
    pipes are never opened: only opening one can already wait for ever.
    """
    name = f"{shown}, " if shown else ""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise FileError(f"{name}{_kind(path)}", "a regular file")
        # A pipe put there since must not make the opening wait.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as stream:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise FileError(f"{name}something else than a file", "a regular file")
            data = stream.read(limit + 1)
    except FileNotFoundError:
        raise FileError(f"{name}no such file", "a file that is there", _beside(path)) from None
    except PermissionError:
        raise FileError(f"{name}a file that may not be read", "a readable file") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "not a path"
        raise FileError(f"{name}a file that cannot be read ({reason})", "a regular file") from None
    if len(data) > limit:
        raise FileError(f"{name}a file that is too large", f"at most {limit >> 10} KiB")
    return data


def _kind(path: Path) -> str:
    return "a folder" if path.is_dir() else "a device or pipe"


def _beside(path: Path) -> str | None:
    """The name nearest to a missing file's among the first files of its folder."""
    try:
        with os.scandir(path.parent) as entries:
            names = [entry.name for entry in islice(entries, 1000) if entry.is_file()]
    except (OSError, ValueError):
        return None
    return nearest_spelling(path.name, names)
