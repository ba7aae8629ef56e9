"""A whole loop against encoding the very same frames alone."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

import glint.picture.loop
from glint.picture.develop import eye_width
from glint.picture.loop import loop
from glint.picture.movie import write_movie
from glint.rig.scene import load
from tests.bench.command import SCENES, run
from tests.bench.figures import Figure, seconds_of


def measure(quick: bool) -> Iterator[Figure]:
    """The real command line, start and all, against the writer fed with frames from a raw file."""
    names = ("spiked-twenty",) if quick else ("spiked-twenty", "lantern", "yardstick")
    for name in names:
        yield from _scene(name, "dome", *((240, 10) if quick else (720, 30)), 1.5)


def measure_eye(quick: bool) -> Iterator[Figure]:
    """The same for what the eye sees, 16 to 9."""
    names = ("spiked-twenty",) if quick else ("spiked-twenty", "bell", "orchard")
    for name in names:
        yield from _scene(name, "eye", *((240, 10) if quick else (720, 30)), 2.0)


def _scene(name: str, view: str, size: int, fps: int, bar: float) -> Iterator[Figure]:
    width = eye_width(size) if view == "eye" else size
    with tempfile.TemporaryDirectory() as folder:
        raw, kept = Path(folder) / "frames", Path(folder) / "alone.mp4"
        count, rate, entries = _held(name, view, size, fps, raw)
        frames = np.memmap(raw, np.uint8, "r", shape=(count, size, width, 3))
        place, target = SCENES / f"{name}.toml", Path(folder) / "a.mp4"
        wanted = ("--view", view, "--size", size, "--fps", fps)
        whole = run("loop", place, *wanted, "-o", target)
        alone = seconds_of(lambda: write_movie(kept, iter(frames), count, rate, entries))
    note = f"{count} frames of {width} by {size}: {whole.seconds:.1f} s over {alone:.1f} s"
    what = f"{view} loop, {name}: over encoding alone"
    yield Figure(what, whole.seconds / alone, "x", bar, note=note)


def _held(
    name: str, view: str, size: int, fps: int, raw: Path
) -> tuple[int, Fraction, dict[str, str]]:
    """Makes the loop once with a writer that keeps raw frames: their number, rate and labels."""
    told: list[Any] = []

    def keep(path, frames, count, fps, metadata=None, progress=None, quality=None):
        with raw.open("wb") as file:
            for frame in frames() if callable(frames) else frames:
                file.write(np.ascontiguousarray(frame).tobytes())
        Path(path).write_bytes(b"kept elsewhere")
        told.extend((count, Fraction(fps), metadata or {}))

    honest = glint.picture.loop.write_movie
    glint.picture.loop.write_movie = keep
    try:
        loop(load(SCENES / f"{name}.toml"), raw.with_suffix(".mp4"), view=view, fps=fps, size=size)
    finally:
        glint.picture.loop.write_movie = honest
    return told[0], told[1], told[2]
