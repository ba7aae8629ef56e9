"""GIF, which every program shows."""

from __future__ import annotations

from collections.abc import Iterator

from glint.render.movies.kind import Movie, MovieKind, Picture
from glint.render.writers.gif import write_gif


def _write(movie: Movie, frames: Iterator[Picture]) -> None:
    assert movie.palette is not None
    write_gif(movie.path, frames, movie.palette, movie.rate, movie.metadata)


KIND = MovieKind(
    name="a GIF",
    longest_side=65535,
    qualities=(255, 160, 96, 64, 40),
    quality="{} colours",
    write=_write,
    fastest=50,  # browsers slow down a GIF with shorter delays than 20 ms
    colours=True,
)
