"""What a kind of movie can hold, and how it is written."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

EVERY_COLOUR = 1 << 24

COLOURS = 255
"""Most colours of a palette."""


class Movie(NamedTuple):
    """A movie to be written.

    rate: pictures a second. metadata: its title and the like. quality: one of its kind's.
    palette: (n, 3) uint8, the colours to write it with; None for a kind or quality without one.
    """

    path: Path
    count: int
    rate: Fraction
    metadata: dict[str, str]
    quality: int
    palette: Picture | None = None


Write = Callable[[Movie, Iterator[Picture]], None]
"""Writes pictures (h, w, 3) uint8, looping for ever. Raises OSError."""


@dataclass(frozen=True)
class MovieKind:
    """One kind of movie.

    name: as "a GIF". longest_side: pixels. qualities: from the best, which is the usual one, to the
    least sensible; quality: what they are, in words. even: whether sides must be. fastest: most
    pictures a second. key_frames: a whole picture stands at least so often; None: the first alone.
    colours: whether a quality of at most 255 is a number of colours, for which a palette is made.
    """

    name: str
    longest_side: int
    qualities: tuple[int, ...]
    quality: str
    write: Write
    even: bool = False
    fastest: int = 1000
    key_frames: int | None = None
    colours: bool = False

    def has_palette(self, quality: int) -> bool:
        """Whether a movie of this quality is written with a palette."""
        return self.colours and quality <= COLOURS
