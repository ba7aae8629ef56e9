"""A whole loop against encoding the very same frames alone."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

import glint.render.loop
from glint.render.loop import loop
from glint.render.views import view_of
from glint.scene.build import load
from tests.bench.command import SCENES, encode_alone, run, run_part
from tests.bench.figures import Figure, in_turn, median

MOST = 600
"""Frames of a loop that count: a minute of eye's view would take minutes, time after time."""


def measure(quick: bool) -> Iterator[Figure]:
    """The real command line, start and all, against the writer alone, fed with the same frames: in
    a process of its own too, whose start and imports do not count (see `alone.py`)."""
    names = ("spiked-twenty",) if quick else ("spiked-twenty", "lantern", "yardstick")
    for name in names:
        yield _scene(name, "dome", quick, 5, 1.5)


def measure_eye(quick: bool) -> Iterator[Figure]:
    """The same for what the eye sees, 16 to 9."""
    names = ("spiked-twenty",) if quick else ("spiked-twenty", "bell", "orchard")
    for name in names:
        yield _scene(name, "eye", quick, 3, 2.0)


def _scene(name: str, view: str, quick: bool, repeats: int, bar: float) -> Figure:
    size, most, repeats = (240, 60, 2) if quick else (720, MOST, repeats)
    width = view_of(view).size(size)[0]
    with tempfile.TemporaryDirectory() as folder:
        raw, kept = Path(folder) / "frames", Path(folder) / "alone.mp4"
        count, whole, rate, entries = _held(name, view, size, most, raw)
        job = {"count": count, "height": size, "width": width, "rate": str(rate)}
        told = json.dumps({**job, "entries": entries})
        place, target = SCENES / f"{name}.toml", Path(folder) / "a.mp4"
        pixels = f"{width}x{size}"
        wanted = ("loop", place, "--view", view, "--size", pixels, "-o", target, "--force")
        race = in_turn(
            lambda: (run(*wanted) if count == whole else run_part(count, *wanted)).seconds,
            lambda: encode_alone(raw, kept, told),
            repeats,
        )
    some = "" if count == whole else f", of {whole}"
    times = f"{median(race.ours):.1f} s over {median(race.peer):.1f} s"
    note = f"{count} frames of {width} by {size}{some}: {times}"
    return Figure(f"{view} loop, {name}: over encoding alone", race.over, "x", bar, note=note)


def _held(
    name: str, view: str, size: int, most: int, raw: Path
) -> tuple[int, int, Fraction, dict[str, str]]:
    """Makes the loop once with a writer that keeps raw frames: their number, how many the whole
    loop has, rate and labels."""
    told: list[Any] = []

    def keep(path, frames, count, fps, metadata=None, progress=None, quality=None):
        every = frames()
        with raw.open("wb") as file:
            for frame in islice(every, most):
                file.write(np.ascontiguousarray(frame).tobytes())
        every.close()
        Path(path).write_bytes(b"kept elsewhere")
        told.extend((min(count, most), count, Fraction(fps), metadata or {}))

    honest = glint.render.loop.write_movie
    glint.render.loop.write_movie = keep
    try:
        loop(load(SCENES / f"{name}.toml"), raw.with_suffix(".mp4"), view=view, size=size)
    finally:
        glint.render.loop.write_movie = honest
    return told[0], told[1], told[2], told[3]
