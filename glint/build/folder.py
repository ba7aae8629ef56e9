"""A folder of files that appears whole or not at all."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from contextlib import ExitStack
from pathlib import Path

from glint.errors import UsageError, printable
from glint.files.atomic import bring_to_disk, stopping_is_an_error, taken, told_plainly, whole_file
from glint.files.temporary import hidden_folder


def check_folder(folder: Path, names: Collection[str], force: bool) -> None:
    """Refuse a folder that could not be written, before any work is done for it.

    Raises UsageError for a name that belongs to something else, for a folder above it that is not
    there, and, without force, for files there that have one of the names.
    """
    shown = printable(str(folder))
    with told_plainly(folder):
        if folder.exists() and not folder.is_dir():
            raise UsageError(f"{shown} is not a folder")
        if not folder.parent.is_dir():
            raise UsageError(f"{shown}: there is no folder {printable(str(folder.parent))}")
        if not force:
            for name in sorted(names):
                if (folder / name).exists():
                    raise taken(folder / name)


def write_folder(folder: Path, files: Mapping[str, bytes], force: bool = False) -> None:
    """Write files by name: into a new folder all at once, into an old one all at the very end.

    Other files in an old folder stay. A program that is killed just while files take their names
    in an old folder leaves each of them whole, some of them old. Raises as `check_folder`, and
    GlintError where the disk refuses.
    """
    check_folder(folder, files.keys(), force)
    if not folder.exists() and _written_anew(folder, files):
        return
    check_folder(folder, files.keys(), force)
    with ExitStack() as stack:
        for name, data in files.items():
            stack.enter_context(whole_file(folder / name, force)).write_bytes(data)


def _written_anew(folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether the folder was still free in the end; if not, nothing is left."""
    with (
        stopping_is_an_error(),
        told_plainly(folder),
        hidden_folder(folder.parent) as hidden,
    ):
        for name, data in files.items():
            (hidden / name).write_bytes(data)
            bring_to_disk(hidden / name)
        try:
            hidden.rename(folder)
        except OSError:
            if not folder.is_dir():
                raise
            return False  # another program has made it meanwhile
        return True
