"""Edits written down as they are made, so that a crash or a kill takes none of them.

A journal is a file of JSON lines that only grows: first the scene that it begins with, then every
action. Each server has one of its own, locked as long as it lives; the name begins with a digest of
the scene's path. One that nobody holds, with edits that were not saved, is offered back.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import IO, Any, NamedTuple

from glint.errors import GlintError

try:
    import fcntl
except ImportError:  # not on Windows, where two servers on one scene see each other's journals
    fcntl = None

LARGEST = 1 << 28
"""Bytes of a journal that are read again."""


class Left(NamedTuple):
    """A journal that somebody left. head: the scene that it begins with; actions: since."""

    file: Path
    when: float
    head: dict[str, Any]
    actions: list[dict[str, Any]]

    @property
    def unsaved(self) -> int:
        """Actions since the scene was last saved."""
        saved = [n for n, action in enumerate(self.actions) if action.get("do") == "saved"]
        return len(self.actions) - (saved[-1] + 1 if saved else 0)


def state_folder() -> Path:
    """Where a user's programs keep what they must not lose."""
    given = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA") or ""
    base = Path(given) if Path(given).is_absolute() else Path.home() / ".local" / "state"
    return base / "glint" / "live"


class Journal:
    """The journal of one scene; without a folder that can be written, one that forgets.

    trouble: why nothing is written down, or "".
    """

    def __init__(self, scene: Path, folder: Path | None = None) -> None:
        self.folder = state_folder() if folder is None else folder
        path = os.path.realpath(scene)
        self._key = hashlib.blake2b(os.fsencode(path), digest_size=16).hexdigest()
        self._stream: IO[bytes] | None = None
        self._file: Path | None = None
        self._unsaved = 0
        self.trouble = ""

    def begin(self, head: Mapping[str, Any]) -> None:
        """A new file, with the scene as it stands; the one before is left as it is."""
        self._file = self.folder / f"{self._key}-{time.time_ns():x}-{os.getpid()}.jsonl"
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle = os.open(self._file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            self._stream = os.fdopen(handle, "ab", buffering=0)
            if fcntl is not None:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            self.trouble = f"edits are not written down: {(error.strerror or str(error)).lower()}"
        self.add({"when": time.time(), **head})
        self._unsaved = 0

    def end(self) -> None:
        """Take the file away, if there is nothing in it to offer back."""
        if self._file is not None and not self._unsaved:
            self._file.unlink(missing_ok=True)

    def add(self, line: Mapping[str, Any]) -> None:
        """Write one line down; it is with the system when this returns."""
        self._unsaved = 0 if line.get("do") == "saved" else self._unsaved + 1
        if self._stream is None:
            return
        try:
            self._stream.write(json.dumps(line).encode() + b"\n")
        except OSError as error:
            self._stream = None
            self.trouble = f"edits are not written down: {(error.strerror or str(error)).lower()}"

    def left(self) -> Left | None:
        """The newest journal of this scene that somebody left with unsaved edits. Others, with
        nothing to save, are taken away."""
        found = []
        for file in self._others():
            journal = _read(file)
            if journal is not None and journal.unsaved:
                found.append(journal)
            else:
                file.unlink(missing_ok=True)
        return max(found, key=lambda journal: journal.when, default=None)

    def _others(self) -> Iterator[Path]:
        try:
            files = sorted(self.folder.glob(f"{self._key}-*.jsonl"))
            mine = None if self._stream is None else os.fstat(self._stream.fileno()).st_ino
            for file in files:
                if file.stat().st_ino != mine and not _is_held(file):
                    yield file
        except OSError:  # a folder that cannot be read offers nothing; `begin` tells of it
            return


class Silent(Journal):
    """One that writes nothing down."""

    def __init__(self) -> None:
        super().__init__(Path(), Path())

    def begin(self, head: Mapping[str, Any]) -> None:
        """Nothing."""


def _is_held(file: Path) -> bool:
    if fcntl is None:
        return False
    with file.open("rb") as stream:
        try:
            fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return True
    return False


def _read(file: Path) -> Left | None:
    """A journal; its last line may be torn. None for what is none."""
    if file.stat().st_size > LARGEST:
        raise GlintError(f"{file.name}: a journal that is too large; take it away by hand")
    lines = []
    for line in file.read_bytes().split(b"\n"):
        try:
            lines.append(json.loads(line))
        except ValueError:
            break
    good = [line for line in lines if isinstance(line, dict)]
    if not good or len(good) < len(lines) or not isinstance(good[0].get("tables"), dict):
        return None
    return Left(file, float(good[0].get("when", 0.0)), good[0], good[1:])
