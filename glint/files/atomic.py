"""Output files appear whole or not at all.

Everything is written into a hidden file beside the wanted one, which takes its name at the very
end. What fails, or is stopped, on the way leaves nothing behind and an older file untouched; what
is killed leaves its hidden file, which the next output into the same folder clears away.
"""

from __future__ import annotations

import errno
import os
import signal
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from glint.errors import GlintError, UsageError, listed, nearest_spelling, printable
from glint.files.temporary import hidden_file


def check_output(path: str | Path, *, force: bool = False, endings: Sequence[str] = ()) -> None:
    """Refuse an output that could not be put in place, before any work is done for it.

    endings: those allowed, lower-case with their dot; none allows any. Raises UsageError for
    another ending, a folder that is not there, a name that belongs to a folder or device, and,
    without force, a file that exists; GlintError for a path that cannot be looked at.
    """
    wanted = Path(path)
    shown = printable(str(path))
    ending = wanted.suffix.lower()
    if endings and ending not in endings:
        found = f'found ending "{printable(wanted.suffix)}"' if ending else "found no ending"
        nearest = nearest_spelling(ending, endings) if ending else None
        hint = f'; did you mean "{nearest}"?' if nearest else ""
        raise UsageError(f"{shown}: {found}; allowed: {listed(endings)}{hint}")
    with told_plainly(wanted):
        if wanted.is_dir():
            raise UsageError(f"{shown} is a folder; give the name of a file")
        if not wanted.parent.is_dir():
            raise UsageError(f"{shown}: there is no folder {printable(str(wanted.parent))}")
        if wanted.exists():
            if not wanted.is_file():
                raise UsageError(f"{shown} is not a regular file")
            if not force:
                raise taken(wanted)


@contextmanager
def whole_file(
    path: str | Path, force: bool = False, endings: Sequence[str] = ()
) -> Iterator[Path]:
    """Write a file whole or not at all: `with whole_file("a.mp4") as temporary: ...`.

    Gives an empty hidden file in the same folder and with the same ending. When the block ends
    well its contents are brought to the disk and it takes the name `path`; when the block fails,
    or the program is stopped by Ctrl-C or a request to end, it is removed. Entering fails as
    `check_output` does, and where the folder cannot be written. Two programs may write the same
    path at once: with force the last to finish wins, else the first.

    Raises GlintError, in one line, for every OSError in the block.
    """
    wanted = Path(path)
    check_output(wanted, force=force, endings=endings)
    with stopping_is_an_error(), told_plainly(wanted):
        target = Path(os.path.realpath(wanted))
        with hidden_file(target.parent, wanted.suffix) as temporary:
            yield temporary
            bring_to_disk(temporary)
            if force:
                temporary.replace(target)
            else:
                _take_free_name(temporary, target, wanted)


def taken(path: Path) -> UsageError:
    """The refusal to write over a file without being told to."""
    return UsageError(f"{printable(str(path))} exists; --force replaces it")


def bring_to_disk(path: Path) -> None:
    """Wait until a file's content would outlast a loss of power."""
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _take_free_name(temporary: Path, target: Path, wanted: Path) -> None:
    """Give a file a name that nobody else has taken in the meantime."""
    try:
        os.link(temporary, target)  # unlike a renaming, fails if the name is taken
    except FileExistsError:
        raise taken(wanted) from None
    except OSError:  # a file system without hard links
        if target.exists():
            raise taken(wanted) from None
        temporary.replace(target)


@contextmanager
def told_plainly(path: Path) -> Iterator[None]:
    """Every OSError in the block becomes a GlintError of one line: path cannot be written.

    A name that no file can have is a UsageError.
    """
    try:
        yield
    except OSError as error:
        if error.errno == errno.ENAMETOOLONG:
            shown = printable(str(path), 100)
            raise UsageError(
                f"{shown}: found a name that is too long; give a shorter one"
            ) from None
        reason = (error.strerror or str(error) or type(error).__name__).lower()
        raise GlintError(f"{printable(str(path))} cannot be written: {reason}") from error


@contextmanager
def stopping_is_an_error() -> Iterator[None]:
    """Requests to end raise KeyboardInterrupt, as Ctrl-C does, so that files are tidied up."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may set signal handlers, and only it is interrupted
        return
    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    changed = [number for number in numbers if signal.getsignal(number) is signal.SIG_DFL]
    for number in changed:
        signal.signal(number, signal.default_int_handler)
    try:
        yield
    finally:
        for number in changed:
            signal.signal(number, signal.SIG_DFL)
