"""Animated PNG: without loss, or with few colours."""

from __future__ import annotations

from collections.abc import Iterator

from glint.render.movies.kind import EVERY_COLOUR, Movie, MovieKind, Picture
from glint.render.writers.apng import write_apng
from glint.render.writers.palette import Mixer


def _write(movie: Movie, frames: Iterator[Picture]) -> None:
    palette = movie.palette
    if palette is not None:
        mixer = Mixer(palette)
        frames = (palette[mixer.indices(picture)] for picture in frames)
    write_apng(movie.path, frames, movie.count, movie.rate, movie.metadata)


KIND = MovieKind(
    name="an animated PNG",
    longest_side=65535,
    qualities=(EVERY_COLOUR, 255, 128, 64, 40),
    quality="{} colours",
    write=_write,
    colours=True,
)
