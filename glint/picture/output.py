"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from glint.scene.errors import GlintError, UsageError


@contextmanager
def whole_file(path: str | Path, force: bool = False) -> Iterator[Path]:
    """A place to write; the file moves to `path` only when the block ends well.

    Raises UsageError before any work where `path` exists and force is off, or has no folder, and
    GlintError where the disk does not take the file. Nothing stays behind on any failure.
    """
    target = Path(path)
    if target.is_dir():
        raise UsageError(f"{target} is a folder; give the name of a file")
    if target.exists() and not force:
        raise UsageError(f"{target} exists; --force replaces it")
    if not target.parent.is_dir():
        raise UsageError(f"{target.parent} is not a folder")
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{target.stem}-", suffix=target.suffix, dir=target.parent
        )
        os.close(handle)
    except OSError as error:
        raise GlintError(f"{target} cannot be written: {error.strerror}") from None
    waiting = Path(name)
    try:
        yield waiting
        with waiting.open("rb") as written:
            os.fsync(written.fileno())
        mask = os.umask(0)
        os.umask(mask)
        waiting.chmod(0o666 & ~mask)
        if target.exists() and not force:
            raise UsageError(f"{target} exists; --force replaces it")
        waiting.replace(target)
    except OSError as error:
        raise GlintError(f"{target} cannot be written: {error.strerror}") from None
    finally:
        waiting.unlink(missing_ok=True)
