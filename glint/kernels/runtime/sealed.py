"""Files that carry a checksum: a power cut may leave them cut short, empty or garbled.

Compiled code that is damaged would end the program, or have it do anything at all. What does not
match its checksum counts as missing, and so does what somebody else may have written: a file of
compiled code can do all that its reader may do.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import tempfile
from pathlib import Path

CHECKSUM = hashlib.sha256
BYTES = CHECKSUM().digest_size
"""Of a checksum; it stands before what it is of."""

SUFFIX = ".sum"
"""Ending of a file that holds the checksum of another, which cannot hold its own."""


def only_ours(found: os.stat_result) -> bool:
    """Whether a file or folder belongs to this user, and nobody else may write to it."""
    if not hasattr(os, "geteuid"):  # Windows: a user's own folders are closed to others
        return True
    others = found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    return found.st_uid == os.geteuid() and not others


def read(path: Path) -> bytes | None:
    """What write() put there; None where it is missing, damaged or not ours."""
    try:
        with path.open("rb") as file:
            data = file.read() if only_ours(os.fstat(file.fileno())) else b""
    except OSError:
        return None
    content = memoryview(data)[BYTES:]
    return bytes(content) if CHECKSUM(content).digest() == data[:BYTES] else None


def write(path: Path, content: bytes) -> None:
    """Put content there behind its checksum, at once: a reader finds all of it, or what was there
    before. Raises OSError, and then leaves nothing behind."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(CHECKSUM(content).digest())
            file.write(content)
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):  # the first error is the one to tell
            Path(name).unlink()
        raise


Seen = dict[Path, tuple[int, int]]
"""When each file was written, in nanoseconds, and its length in bytes."""


def drop_damaged(folder: Path) -> Seen:
    """Remove files that others write, below this folder, wherever they do not match the checksum
    that seal() put beside them, or have none. Returns what is left. Raises OSError."""
    left: Seen = {}
    for path in _unsealed(folder):
        beside = path.with_name(path.name + SUFFIX)
        if read(beside) == CHECKSUM(path.read_bytes()).digest():
            left[path] = _as_it_is(path)
        else:
            path.unlink(missing_ok=True)
            beside.unlink(missing_ok=True)
    return left


def seal(folder: Path, seen: Seen) -> None:
    """Put a checksum beside every file below this folder that is not as it was seen. Raises
    OSError."""
    for path in _unsealed(folder):
        if seen.get(path) != _as_it_is(path):
            digest = CHECKSUM(path.read_bytes()).digest()
            write(path.with_name(path.name + SUFFIX), digest)


def _unsealed(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file() and path.suffix != SUFFIX]


def _as_it_is(path: Path) -> tuple[int, int]:
    found = path.stat()
    return found.st_mtime_ns, found.st_size
