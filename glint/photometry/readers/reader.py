"""Which function reads which lamp file: by the ending of its name.

A reader takes a file's bytes and its name, for errors, and gives its photometry or raises
PhotometryError. `lamp_reader` registers it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import PurePath

from glint.errors import GlintError, Problem, listed, printable
from glint.photometry.type_c import Photometry

Reader = Callable[[bytes, str], Photometry]

_READERS: dict[str, Reader] = {}
_NAMES: dict[str, str] = {}


class PhotometryError(GlintError):
    """A lamp file that cannot be used; where in its problem is the line."""

    exit_status = 2

    def __init__(self, file: str, problem: Problem) -> None:
        self.file = file
        self.problem = problem
        super().__init__(f"{printable(file)}: {problem}")


def lamp_reader(ending: str, name: str) -> Callable[[Reader], Reader]:
    """Register the function as what reads files with an ending, as ".ies". name: of the format."""

    def add(reader: Reader) -> Reader:
        _READERS[ending], _NAMES[ending] = reader, name
        return reader

    return add


def endings() -> tuple[str, ...]:
    """Endings of the names of lamp files."""
    return tuple(_READERS)


def formats() -> str:
    """The formats and their endings, as "IES LM-63, .ies"."""
    return " or ".join(f"{name}, {ending}" for ending, name in _NAMES.items())


def read_photometry(data: bytes, name: str) -> Photometry:
    """The photometry in a lamp file. name: its name. Raises PhotometryError."""
    ending = PurePath(name).suffix.lower()
    if ending not in _READERS:
        problem = Problem("", f'the ending "{ending}"', listed(endings()))
        raise PhotometryError(name, problem)
    return _READERS[ending](data, name)
