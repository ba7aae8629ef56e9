"""A folder of files that appears whole or not at all."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Collection, Mapping
from pathlib import Path

from glint.scene.errors import GlintError, UsageError, printable
from glint.scene.output import whole_file


def check_folder(folder: Path, names: Collection[str], force: bool) -> None:
    """Refuse a folder that could not be written, before any work is done for it.

    Raises UsageError for a name that belongs to something else, for a folder above it that is not
    there, and, without force, for files there that have one of the names.
    """
    shown = printable(str(folder))
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"{shown} is not a folder")
    if not folder.parent.is_dir():
        raise UsageError(f"{shown}: there is no folder {printable(str(folder.parent))}")
    if not force:
        for name in sorted(names):
            if (folder / name).exists():
                raise UsageError(f"{folder / name} exists; --force replaces it")


def write_folder(folder: Path, files: Mapping[str, bytes], force: bool = False) -> None:
    """Write files by name: into a new folder all at once, into an old one each whole.

    Other files in an old folder stay. Raises as `check_folder`, and GlintError where the disk
    refuses.
    """
    check_folder(folder, files.keys(), force)
    if folder.exists():
        for name, data in files.items():
            with whole_file(folder / name, force) as place:
                place.write_bytes(data)
        return
    hidden = folder.with_name(f".glint-{secrets.token_hex(8)}")
    try:
        hidden.mkdir()
        for name, data in files.items():
            (hidden / name).write_bytes(data)
        hidden.rename(folder)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise GlintError(f"{printable(str(folder))} cannot be written: {reason}") from error
    finally:
        shutil.rmtree(hidden, ignore_errors=True)
