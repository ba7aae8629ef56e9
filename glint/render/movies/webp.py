"""Animated WebP, small enough for pages."""

from __future__ import annotations

from collections.abc import Iterator

from glint.render.movies.kind import Movie, MovieKind, Picture
from glint.render.writers.webp import write_webp


def _write(movie: Movie, frames: Iterator[Picture]) -> None:
    write_webp(movie.path, frames, movie.count, movie.rate, movie.metadata, movie.quality)


KIND = MovieKind(
    name="a WebP",
    longest_side=16383,
    qualities=(90, 82, 74, 66, 58, 50, 42),
    quality="quality {}",
    write=_write,
)
