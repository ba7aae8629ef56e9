"""Hidden files and folders in which outputs grow, each locked for as long as its program lives.

A program that is killed leaves what it was writing behind. Its lock is gone with it, so the next
one that writes into the same folder can tell, and clears it away. Where there are no such locks
nothing is cleared; it is not in anybody's way either, since no two hidden names are alike.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # not a Unix system
    fcntl = None

_OURS = re.compile(r"\.glint-[0-9a-f]{16}(\..*)?", re.DOTALL)
_OWN: set[Path] = set()
"""What this program is writing just now."""

_NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)


@contextmanager
def hidden_file(folder: Path, ending: str = "") -> Iterator[Path]:
    """An empty file of a new hidden name, locked; removed in the end, if it is still there.

    Clears away first what killed programs have left in the folder. Raises OSError.
    """
    clear_leftovers(folder)
    handle = None
    while handle is None:
        place = _new_name(folder, ending)
        handle = _locked(place, os.open(place, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o666))
    _OWN.add(place)
    try:
        yield place
    finally:
        place.unlink(missing_ok=True)
        _OWN.discard(place)
        _let_go(handle)


@contextmanager
def hidden_folder(folder: Path) -> Iterator[Path]:
    """As `hidden_file`, an empty folder; removed in the end with all that is in it."""
    clear_leftovers(folder)
    handle = None
    while handle is None:
        place = _new_name(folder, "")
        place.mkdir()
        handle = _locked(place, None if fcntl is None else os.open(place, os.O_RDONLY))
    _OWN.add(place)
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)
        _OWN.discard(place)
        _let_go(handle)


def remove_ours() -> None:
    """Remove all that this program is writing, for it ends at once. What cannot be removed is left
    for the next one."""
    for place in list(_OWN):
        with suppress(OSError):
            shutil.rmtree(place) if place.is_dir() else place.unlink(missing_ok=True)


def clear_leftovers(folder: Path) -> None:
    """Remove hidden files and folders of programs that are no more; others' are left alone."""
    if fcntl is None:
        return
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            kind = entry.is_file(follow_symlinks=False) or entry.is_dir(follow_symlinks=False)
            if kind and _OURS.fullmatch(entry.name):
                with suppress(OSError):  # somebody else's, held, or gone by now
                    _remove_if_free(Path(entry.path))


def _remove_if_free(place: Path) -> None:
    """Raises OSError where the lock is held, or nobody may take it."""
    assert fcntl is not None
    handle = os.open(place, os.O_RDONLY | _NO_LINK)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if place.is_dir():
            shutil.rmtree(place)
        else:
            place.unlink()
    finally:
        os.close(handle)


def _new_name(folder: Path, ending: str) -> Path:
    return folder / f".glint-{secrets.token_hex(8)}{ending}"


def _locked(place: Path, handle: int | None) -> int | None:
    """The handle, locked, or -1 where there are no locks; None if another program took the new
    name for a leftover between its making and its locking.
    """
    if fcntl is None or handle is None:
        _let_go(handle)  # an open file could not be renamed on every system
        return -1
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.samestat(os.fstat(handle), place.stat()):
            return handle
    except (BlockingIOError, FileNotFoundError):
        pass
    except OSError:  # a file system without locks
        return handle
    os.close(handle)
    return None


def _let_go(handle: int | None) -> None:
    if handle is not None and handle >= 0:
        os.close(handle)
