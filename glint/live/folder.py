"""The one folder that a page may read from and write to."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from glint.errors import UsageError, in_words, printable
from glint.files.read import unfit_name

MOST_SCENES = 200

LONGEST = 200
"""Characters of a path."""


class Folder:
    """A folder, and the paths within it that somebody else may name.

    root: the folder itself, without symbolic links on the way
    """

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()

    def scenes(self) -> list[str]:
        """Names of the scene files in it that may be opened."""
        found = self.root.glob("*.toml")
        return sorted(p.name for p in found if p.is_file() and not p.is_symlink())[:MOST_SCENES]

    def inside(self, name: object, endings: Sequence[str] = ()) -> Path:
        """The path of a file or folder in it.

        endings: that it may have. Raises UsageError for one that leads out, by dots or by a
        symbolic link, or is hidden.
        """
        allowed = f"a path within the folder {in_words(self.root.name)}"
        if not isinstance(name, str) or not 0 < len(name) <= LONGEST or unfit_name(name):
            raise UsageError(f"path: found {in_words(name)}; allowed: {allowed}")
        parts = name.replace("\\", "/").split("/")
        if not name.isprintable() or any(p.startswith(".") or not p.strip() for p in parts):
            raise UsageError(f"path: found {in_words(name)}; allowed: {allowed}")
        path = self.root.joinpath(*parts)
        if endings and path.suffix.lower() not in endings:
            raise UsageError(
                f"path: found {in_words(name)}; allowed: a name that ends in {' or '.join(endings)}"
            )
        if path.resolve() != path:
            raise UsageError(f"path: {printable(name)} is a symbolic link; allowed: {allowed}")
        return path
