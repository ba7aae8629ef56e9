"""MP4 for everywhere."""

from __future__ import annotations

from collections.abc import Iterator

from glint.render.movies.kind import Movie, MovieKind, Picture
from glint.render.writers.mp4 import write_mp4


def _write(movie: Movie, frames: Iterator[Picture]) -> None:
    write_mp4(movie.path, frames, movie.rate, movie.metadata, movie.quality)


KIND = MovieKind(
    name="an MP4",
    longest_side=8192,
    qualities=(18, 20, 22, 24, 26, 28, 30, 32, 34),
    quality="rate factor {}",
    write=_write,
    even=True,
    key_frames=250,  # the usual setting of its encoder
)
