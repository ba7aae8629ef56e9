"""Lamp files after ANSI/IES LM-63: the candela that somebody measured, in type C photometry.

The rules are those of LM-63-2002; where other editions (1986, 1991, 1995, 2019) differ, they are
from memory: only the first line and the meaning of one factor do. Where the standard wants a new
line to begin is not insisted on.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from glint.errors import Problem, in_words, listed, printable
from glint.photometry.readers.reader import PhotometryError, lamp_reader
from glint.photometry.type_c import Photometry

Floats = NDArray[np.float64]

MOST_VERTICAL, MOST_HORIZONTAL, MOST_TILTS = 3601, 1441, 361
"""Angles that a file may have: every twentieth, every quarter and every half of a degree."""

EDITIONS = {
    "IESNA91": 1991,
    "IESNA:LM-63-1991": 1991,
    "IESNA:LM-63-1995": 1995,
    "IESNA:LM-63-2002": 2002,
    "IES:LM-63-2019": 2019,
}
"""First lines. A file of 1986 begins with anything else."""

_LINE_END = re.compile(r"\r\n|\n|\r")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_LARGEST = 1e12  # no angle, count, factor or candela of any lamp is larger


@lamp_reader(".ies", "IES LM-63")
def read_lm63(data: bytes, where: str) -> Photometry:
    """The photometry in a lamp file. where: the file's name in errors. Raises PhotometryError."""
    text = data.removeprefix(b"\xef\xbb\xbf").decode("latin-1")
    reader = _Reader(_LINE_END.split(text.rstrip("\x1a")), where)
    edition = reader.edition()
    tilt_angles, tilt_factors = _tilt(reader)

    sources = reader.whole("the number of light sources", 1, 10**6)
    source_lumens = reader.number("the rated lumens of each light source, or -1", -1.0)
    factor = reader.positive("the candela multiplier")
    vertical_count = reader.whole("the number of vertical angles", 2, MOST_VERTICAL)
    horizontal_count = reader.whole("the number of horizontal angles", 1, MOST_HORIZONTAL)
    kind = reader.whole("the photometric type", 1, 3)
    if kind != 1:
        raise reader.error(f"{kind}, type {' CBA'[kind]} photometry", "1, type C photometry")
    reader.whole("the unit of lengths, feet or metres", 1, 2)
    for side in ("width", "length", "height"):
        reader.number(f"the {side} of the luminous opening")
    factor *= reader.positive("the ballast factor")
    photometric_factor = reader.number("the ballast-lamp photometric factor", 0.0)
    if edition < 2002 and photometric_factor > 0.0:
        # Later editions keep the place in the file, but for other uses.
        factor *= photometric_factor
    watts = reader.number("the input watts", 0.0)

    vertical = reader.angles("vertical", vertical_count, 180.0)
    if vertical[0] != 0.0:
        raise reader.error(f"a first vertical angle of {vertical[0]:g}", "0, straight ahead")
    horizontal = reader.angles("horizontal", horizontal_count, 360.0)
    _check_symmetry(reader, horizontal)
    candela = np.empty((horizontal_count, vertical_count))
    for row in range(horizontal_count):
        what = f"a candela value of horizontal angle {horizontal[row]:g}"
        candela[row] = [reader.number(what, 0.0) for _ in range(vertical_count)]
    reader.finish()
    return Photometry(
        edition=edition,
        vertical_angles=vertical,
        horizontal_angles=horizontal,
        candela=candela * factor,
        rated_lumens=sources * source_lumens if source_lumens >= 0.0 else None,
        watts=watts,
        tilt_angles=tilt_angles,
        tilt_factors=tilt_factors,
    )


def _tilt(reader: _Reader) -> tuple[Floats, Floats]:
    """Tilt angles and factors; both empty for TILT=NONE."""
    tilt = reader.find_tilt()
    if tilt.upper() == "NONE":
        return np.empty(0), np.empty(0)
    if tilt.upper() != "INCLUDE":
        raise reader.error(in_words(f"TILT={tilt}"), listed(["TILT=NONE", "TILT=INCLUDE"]))
    reader.whole("how the light source lies in the lamp", 1, 3)
    count = reader.whole("the number of tilt angles", 1, MOST_TILTS)
    angles = reader.angles("tilt", count, 180.0)
    return angles, np.array([reader.number("a tilt factor", 0.0) for _ in range(count)])


def _check_symmetry(reader: _Reader, horizontal: Floats) -> None:
    """Only some first and last horizontal angles mean something."""
    first, last = horizontal[0], horizontal[-1]
    alone = horizontal.size == 1 and first == 0.0
    part = first == 0.0 and (last in (90.0, 180.0) or 180.0 < last <= 360.0)
    if not (alone or part or (first, last) == (90.0, 270.0)):
        allowed = "0 alone, 0 to 90, 0 to 180, 90 to 270, or from 0 to more than 180"
        raise reader.error(f"horizontal angles from {first:g} to {last:g}", allowed)


class _Reader:
    """The lines of a file and, after the TILT line, its numbers one by one."""

    def __init__(self, lines: list[str], file: str) -> None:
        self.lines = lines
        self.file = file
        self.line = 1
        self._words: list[tuple[str, int]] = []
        self._next = 0

    def error(self, found: str, allowed: str) -> PhotometryError:
        """The problem with what was read last."""
        return PhotometryError(self.file, Problem(f"line {self.line}", found, allowed))

    def edition(self) -> int:
        """The edition that the first line tells."""
        first = self.lines[0].strip().upper()
        if first in EDITIONS:
            return EDITIONS[first]
        if re.match(r"IES(NA)?:LM-?63", first):
            raise self.error(in_words(self.lines[0].strip()), listed(EDITIONS))
        return 1986

    def find_tilt(self) -> str:
        """What stands behind TILT=; the numbers are those of the lines that follow."""
        for number, line in enumerate(self.lines, 1):
            key, _, value = line.partition("=")
            if key.strip().upper() == "TILT":
                self.line = number
                rest = enumerate(self.lines[number:], number + 1)
                self._words = [(w, n) for n, text in rest for w in text.replace(",", " ").split()]
                return value.strip()
        self.line = len(self.lines)
        raise self.error("no line that begins with TILT=", "a lamp file after IES LM-63")

    def number(self, what: str, least: float = -_LARGEST) -> float:
        """The next number; what it is, in words."""
        if self._next == len(self._words):
            self.line = len(self.lines)
            raise self.error("the end of the file", what)
        word, self.line = self._words[self._next]
        self._next += 1
        if not _NUMBER.fullmatch(word):
            raise self.error(in_words(word), what)
        value = float(word)
        if not least <= value <= _LARGEST:
            low = f"from {least:g}" if least > -_LARGEST else f"above {-_LARGEST:g}"
            raise self.error(printable(word, 60), f"{what}, {low} to {_LARGEST:g}")
        return value

    def positive(self, what: str) -> float:
        """The next number, which is above 0."""
        value = self.number(what, 0.0)
        if value == 0.0:
            raise self.error("0", f"{what}, above 0")
        return value

    def whole(self, what: str, least: int, most: int) -> int:
        """The next number, which is whole."""
        value = self.number(what)
        if value != int(value) or not least <= value <= most:
            raise self.error(f"{value:g}", f"{what}, a whole number from {least} to {most}")
        return int(value)

    def angles(self, kind: str, count: int, most: float) -> Floats:
        """The next so many angles (count,), degrees, which grow from 0 or more."""
        angles = np.empty(count)
        before = -1.0
        for place in range(count):
            angle = self.number(f"{kind} angle {place + 1} of {count}", 0.0)
            if not before < angle <= most:
                allowed = f"growing {kind} angles, at most {most:g}"
                raise self.error(f"{angle:g} after {before:g}" if place else f"{angle:g}", allowed)
            angles[place] = before = angle
        return angles

    def finish(self) -> None:
        """Nothing may follow."""
        if self._next < len(self._words):
            word, self.line = self._words[self._next]
            raise self.error(in_words(word), "nothing after the last candela value")
