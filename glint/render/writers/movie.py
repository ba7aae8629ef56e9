"""Loops as files: MP4, GIF, WebP or animated PNG by the name's ending."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.errors import GlintError, UsageError, listed, printable
from glint.parallel.prefetch import ahead

Picture = NDArray[np.uint8]
Frames = Iterator[Picture] | Callable[[], Iterator[Picture]]
Progress = Callable[[int, int], None]

COLOURS = 255
"""Most colours of a palette."""

FASTEST_GIF = 50
"""Pictures a second; browsers slow down a GIF with shorter delays than 20 ms."""


class Format(NamedTuple):
    """What a movie format can hold: its most pixels a side, and whether sides must be even.

    qualities: from the best, which is the usual one, to the least sensible; quality: what they
    are, in words
    """

    name: str
    longest_side: int
    qualities: tuple[int, ...]
    quality: str
    even: bool = False


EVERY_COLOUR = 1 << 24

FORMATS = {
    ".mp4": Format("an MP4", 8192, (18, 20, 22, 24, 26, 28, 30, 32, 34), "rate factor {}", True),
    ".gif": Format("a GIF", 65535, (255, 160, 96, 64, 40), "{} colours"),
    ".webp": Format("a WebP", 16383, (90, 82, 74, 66, 58, 50, 42), "quality {}"),
    ".png": Format("an animated PNG", 65535, (EVERY_COLOUR, 255, 128, 64, 40), "{} colours"),
}
ENDINGS = tuple(FORMATS)


def check_movie(path: str | Path, size: tuple[int, int], fps: float | Fraction) -> None:
    """Raise UsageError if a movie of this size, (width, height), and rate cannot be kept in path.

    Nothing is read or written.
    """
    ending = Path(path).suffix.lower()
    shown = printable(str(path))
    if ending not in FORMATS:
        found = f'found ending "{ending}"' if ending else "found no ending"
        raise UsageError(f"{shown}: {found}; allowed: {listed(ENDINGS)}")
    form = FORMATS[ending]
    width, height = size
    if not (0 < width <= form.longest_side and 0 < height <= form.longest_side):
        most = f"{form.longest_side} pixels a side"
        raise UsageError(f"{shown}: found {width}x{height}; {form.name} holds at most {most}")
    if form.even and (width % 2 or height % 2):
        near = f"{width + width % 2}x{height + height % 2}"
        raise UsageError(
            f"{shown}: found {width}x{height}; {form.name} wants even sizes, such as {near}"
        )
    if not 0 < fps <= 1000:
        raise UsageError(f"{shown}: found {float(fps):g} pictures a second; allowed: up to 1000")
    if ending == ".gif" and fps > FASTEST_GIF:
        raise UsageError(
            f"{shown}: found {float(fps):g} pictures a second; "
            f"a GIF plays at most {FASTEST_GIF} everywhere"
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
    quality: one of the format's, of `FORMATS`; its best if not given. An animated PNG with fewer
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
    level = quality or FORMATS[ending].qualities[0]
    if ending in (".gif", ".png") and level <= COLOURS:
        _write_from_palette(wanted, frames, count, rate, entries, tell, level)
        return
    pictures = _checked(wanted, frames() if callable(frames) else frames, count, rate)
    told = _counted(pictures, tell, 0, count)
    match ending:
        case ".mp4":
            from glint.render.writers.mp4 import write_mp4

            write_mp4(wanted, told, rate, entries, level)
        case ".webp":
            from glint.render.writers.webp import write_webp

            write_webp(wanted, told, count, rate, entries, level)
        case _:
            from glint.render.writers.apng import write_apng

            write_apng(wanted, told, count, rate, entries)
    tell(count, count)


def _write_from_palette(
    path: Path,
    frames: Frames,
    count: int,
    rate: Fraction,
    metadata: dict[str, str],
    progress: Progress,
    colours: int,
) -> None:
    from glint.render.writers.palette import Mixer, palette_of, sample_of

    every = max(1, count // 8)
    samples, packed, shape = [], [], (0, 0, 0)
    first_look = _checked(path, frames() if callable(frames) else frames, count, rate)
    for number, picture in enumerate(_counted(first_look, progress, 0, 2 * count)):
        if number % every == 0:
            samples.append(sample_of(picture))
        if not callable(frames):
            shape = picture.shape
            packed.append(zlib.compress(picture.tobytes(), 1))
    palette = palette_of(np.concatenate(samples), colours)
    if callable(frames):
        again = _checked(path, frames(), count, rate)
    else:
        again = (
            np.frombuffer(raw, dtype=np.uint8).reshape(shape)
            for raw in ahead(zlib.decompress, packed)
        )
    told = _counted(again, progress, count, 2 * count)
    if path.suffix.lower() == ".gif":
        from glint.render.writers.gif import write_gif

        write_gif(path, told, palette, rate, metadata)
    else:
        from glint.render.writers.apng import write_apng

        mixer = Mixer(palette)
        mixed = (palette[mixer.indices(picture)] for picture in told)
        write_apng(path, mixed, count, rate, metadata)
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
