"""Loops as files: MP4, GIF, WebP or animated PNG by the name's ending."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np

from glint.errors import GlintError, UsageError, listed, printable
from glint.parallel.prefetch import ahead
from glint.render.movies import ENDINGS, kind_of
from glint.render.movies.kind import Movie, MovieKind, Picture

Frames = Iterator[Picture] | Callable[[], Iterator[Picture]]
Progress = Callable[[int, int], None]


def check_movie(path: str | Path, size: tuple[int, int], fps: float | Fraction) -> None:
    """Raise UsageError if a movie of this size, (width, height), and rate cannot be kept in path.

    Nothing is read or written.
    """
    ending = Path(path).suffix.lower()
    shown = printable(str(path))
    if ending not in ENDINGS:
        found = f'found ending "{ending}"' if ending else "found no ending"
        raise UsageError(f"{shown}: {found}; allowed: {listed(ENDINGS)}")
    form = kind_of(ending)
    width, height = size
    if not (0 < width <= form.longest_side and 0 < height <= form.longest_side):
        most = f"{form.longest_side} pixels a side"
        raise UsageError(f"{shown}: found {width}x{height}; {form.name} holds at most {most}")
    if form.even and (width % 2 or height % 2):
        near = f"{width + width % 2}x{height + height % 2}"
        raise UsageError(
            f"{shown}: found {width}x{height}; {form.name} wants even sizes, such as {near}"
        )
    if not 0 < fps <= form.fastest:
        raise UsageError(
            f"{shown}: found {float(fps):g} pictures a second; "
            f"{form.name} plays above 0 and at most {form.fastest} everywhere"
        )


def write_movie(
    path: str | Path,
    frames: Frames,
    count: int,
    fps: float | Fraction,
    metadata: dict[str, str] | None = None,
    progress: Progress | None = None,
    quality: int | None = None,
) -> None:
    """Write a loop that plays for ever (an MP4: wherever it is played in a loop).

    frames: gives `count` pictures, (h, w, 3) uint8 sRGB, all of one size; a picture may be
    written over once the next is asked for. For a GIF, whose palette comes from a first look at
    the whole loop, rather a function that gives the same frames afresh each time it is called:
    frames that come but once are held compressed meanwhile.
    metadata: "title", "software" and any others, kept in the file.
    progress: called with (done, total), total being 2 * count for what has a palette.
    quality: one of the kind's `qualities`; its best if not given. An animated PNG with fewer
    colours than all takes them from a palette, as a GIF does.

    Frames are not held, so memory does not grow with `count`; encoding uses every core. Raises
    UsageError for what the format cannot hold, OSError when the file cannot be written (use
    `glint.files.atomic.whole_file` round it), GlintError if there are not `count` frames.
    """
    wanted = Path(path)
    entries = metadata or {}
    rate = Fraction(fps).limit_denominator(100_000)
    tell = progress or _silent
    ending = wanted.suffix.lower()
    check_movie(wanted, (2, 2), rate)
    kind = kind_of(ending)
    movie = Movie(wanted, count, rate, entries, quality or kind.qualities[0])
    if kind.has_palette(movie.quality):
        _write_from_palette(kind, movie, frames, tell)
        return
    pictures = _checked(wanted, frames() if callable(frames) else frames, count, rate)
    kind.write(movie, _counted(pictures, tell, 0, count))
    tell(count, count)


def _write_from_palette(kind: MovieKind, movie: Movie, frames: Frames, progress: Progress) -> None:
    from glint.render.writers.palette import palette_of, sample_of

    path, count, rate = movie.path, movie.count, movie.rate
    every = max(1, count // 8)
    samples, packed, shape = [], [], (0, 0, 0)
    first_look = _checked(path, frames() if callable(frames) else frames, count, rate)
    for number, picture in enumerate(_counted(first_look, progress, 0, 2 * count)):
        if number % every == 0:
            samples.append(sample_of(picture))
        if not callable(frames):
            shape = picture.shape
            packed.append(zlib.compress(picture.tobytes(), 1))
    palette = palette_of(np.concatenate(samples), movie.quality)
    if callable(frames):
        again = _checked(path, frames(), count, rate)
    else:
        again = (
            np.frombuffer(raw, dtype=np.uint8).reshape(shape)
            for raw in ahead(zlib.decompress, packed)
        )
    told = _counted(again, progress, count, 2 * count)
    kind.write(movie._replace(palette=palette), told)
    progress(2 * count, 2 * count)


def _checked(
    path: Path, frames: Iterator[Picture], count: int, rate: Fraction
) -> Iterator[Picture]:
    """The frames themselves, once they have been seen to fit the file and each other."""
    shape: tuple[int, ...] = ()
    number = 0
    for number, picture in enumerate(frames, start=1):
        if number == 1:
            shape = picture.shape
            check_movie(path, (shape[1], shape[0]), rate)
        if picture.shape != shape or picture.dtype != np.uint8 or shape[2:] != (3,):
            raise GlintError(f"frame {number} of {count} is not a picture like the first one")
        if number > count:
            break
        yield picture
    if number != count or count == 0:
        raise GlintError(f"the loop has {number} frames in place of {count}")


def _counted(
    frames: Iterator[Picture], progress: Progress, before: int, total: int
) -> Iterator[Picture]:
    for number, picture in enumerate(frames):
        yield picture
        progress(before + number + 1, total)


def _silent(done: int, total: int) -> None:
    """Tell nobody."""
