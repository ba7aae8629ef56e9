"""A loop within a given number of bytes: coarser first, then smaller, in a few trials."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from glint.errors import UsageError, printable
from glint.files.temporary import hidden_folder
from glint.render.frames import Film, Picture
from glint.render.movies import kind_of
from glint.render.movies.kind import EVERY_COLOUR
from glint.render.writers.movie import write_movie

MEGABYTE = 1_000_000

PART = 24
"""Frames that sizes are foretold from."""

SMALLER = 0.8
"""From one size to the next."""

LEAST_SIDE = 240
"""A picture with a side of fewer pixels shows no spots worth sharing."""

AIM = 0.96
"""Share of what is allowed that a trial aims at: what was foretold may be off."""

MOST_TRIALS = 5


class Setting(NamedTuple):
    """What a trial is made with: width and height, pixels, and the format's quality."""

    size: tuple[int, int]
    quality: int


class Fitted(NamedTuple):
    """The setting that fits, the trials of the whole loop that it took, and the file's bytes."""

    setting: Setting
    trials: int
    length: int


def settings(size: tuple[int, int], ending: str) -> list[Setting]:
    """All that may be tried, best first: every quality in full size, then the last one in smaller
    sizes, even ones of the same form."""
    qualities = kind_of(ending).qualities
    found = [Setting(size, quality) for quality in qualities]
    least = min(LEAST_SIDE, *size)
    scale = SMALLER
    while min(size) * scale >= least:
        width, height = (2 * round(side * scale / 2.0) for side in size)
        found.append(Setting((width, height), qualities[-1]))
        scale *= SMALLER
    return found


class _Forecast:
    """Bytes of a whole loop, foretold from a few frames that follow each other."""

    def __init__(self, film: Film, place: Path, labels: Callable[[Film], dict[str, str]]) -> None:
        self.film, self.labels = film, labels
        self.folder, self.ending = place.parent, place.suffix.lower()
        self._known: dict[Setting, float] = {}
        self._parts: dict[tuple[int, int], list[Picture]] = {}

    @cached_property
    def _numbers(self) -> range:
        count = min(PART, self.film.count)
        first = min(self.film.count // 2, self.film.count - count)
        return range(first, first + count)

    def bytes(self, setting: Setting) -> float:
        """About so many, of the whole loop."""
        if setting not in self._known:
            film = self.film._replace(size=setting.size)
            if setting.size not in self._parts:
                self._parts = {setting.size: list(film.frames(self._numbers))}
            self._known[setting] = self._scaled(film, self._parts[setting.size], setting.quality)
        return self._known[setting]

    def _scaled(self, film: Film, frames: list[Picture], quality: int) -> float:
        whole = self._measured(film, frames, quality)
        if len(frames) == film.count:
            return whole
        first = self._measured(film, frames[:1], quality)
        each = max(whole - first, 0.0) / (len(frames) - 1)
        every = kind_of(self.ending).key_frames
        keys = math.ceil(film.count / every) if every else 1
        return first * keys + each * (film.count - keys)

    def _measured(self, film: Film, frames: list[Picture], quality: int) -> float:
        with hidden_folder(self.folder) as hidden:
            path = hidden / f"part{self.ending}"
            labels = self.labels(film)
            write_movie(path, lambda: iter(frames), len(frames), film.rate, labels, quality=quality)
            return float(path.stat().st_size)


def write_within(
    wanted: str | Path,
    place: Path,
    film: Film,
    most: int,
    write: Callable[[Film, int], None],
    labels: Callable[[Film], dict[str, str]],
) -> Fitted:
    """Write a loop of at most so many bytes, the best that fits.

    wanted: the name of the loop, for errors. place: where `write`, which takes a film and a
    quality, puts it; trials of a few frames grow beside it. Quality is lowered first, then the size
    of the picture. Raises UsageError if the least sensible setting is still too large.
    """
    ending = place.suffix.lower()
    steps, forecast = settings(film.size, ending), _Forecast(film, place, labels)
    wrong = 1.0  # how much more a whole loop took than was foretold
    begin, trials = 0, 0
    while trials < MOST_TRIALS:
        step = _first_that_fits(steps, forecast, begin, AIM * most / wrong)
        if trials == MOST_TRIALS - 1:
            step = len(steps) - 1
        setting = steps[step]
        write(film._replace(size=setting.size), setting.quality)
        length = place.stat().st_size
        trials += 1
        if length <= most:
            return Fitted(setting, trials, length)
        if step == len(steps) - 1:
            break
        wrong = max(wrong, length / forecast.bytes(setting))
        begin = step + 1
    shown, least = in_words(steps[-1], ending), math.ceil(100.0 * length / MEGABYTE) / 100.0
    raise UsageError(
        f"{printable(str(wanted))}: found {least:.2f} MB at the least that is sensible, "
        f"{shown}; allowed: a --max-mb of at least that, or a smaller --fps"
    )


def _first_that_fits(steps: list[Setting], forecast: _Forecast, begin: int, most: float) -> int:
    """The first of the settings from `begin` that is foretold to fit, by halving; else the last."""
    low, high = begin, len(steps) - 1
    while low < high:
        middle = low if low == begin else (low + high) // 2
        if forecast.bytes(steps[middle]) <= most:
            high = middle
        else:
            low = middle + 1
    return high


def in_words(setting: Setting, ending: str) -> str:
    """As "576x576 with rate factor 34"."""
    width, height = setting.size
    quality = kind_of(ending).quality.format(setting.quality)
    shown = "every colour" if setting.quality == EVERY_COLOUR else quality
    return f"{width}x{height} with {shown}"
