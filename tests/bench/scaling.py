"""How time grows: with tiles, texels, lamps, mirrors in a chain, and threads."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, TypeVar

from glint.kernels.runtime.threads import at_most, processors
from glint.lighting.illumination import beams
from glint.scene.scene import Scene
from tests.bench.evenings import MirrorMap, raised, ring_laid, spiked
from tests.bench.figures import markdown, median, median_seconds, told
from tests.bench.per_tile import laid

Found = TypeVar("Found")
Times = tuple[tuple[float, ...], ...]
"""Seconds, for each place along the axis one a repeat."""


class Line(NamedTuple):
    """One line of a plot: its name, where along the axis, and the seconds there."""

    name: str
    at: tuple[int, ...]
    seconds: Times

    @property
    def medians(self) -> tuple[float, ...]:
        """Seconds, one for each place."""
        return tuple(median(row) for row in self.seconds)


class Plot(NamedTuple):
    """Lines over one axis. note: what was measured. slope: the power of the axis that time would
    grow with in proportion to the work; None where that is not a power."""

    title: str
    axis: str
    note: str
    lines: tuple[Line, ...]
    slope: float | None


THREADS = "Threads"


def measured(quick: bool) -> Iterator[Plot]:
    """All plots, one after the other; quick: fewer and smaller."""
    repeats = 2 if quick else 5
    for plot in (_tiles, _texels, _lamps, _mirrors, _threads):
        yield plot(quick, repeats)


def _tiles(quick: bool, repeats: int) -> Plot:
    wanted = (100, 1_000, 10_000) if quick else (100, 300, 1_000, 3_000, 10_000, 30_000, 100_000)
    balls = [laid(number) for number in wanted]
    maps = [(ball.scene, ball.kept) for ball in balls]
    lines = _both(tuple(ball.tiles for ball in balls), maps, repeats)
    return Plot("Tiles", "tiles", "balls laid in rings with tiles of 8 mm", lines, 1.0)


def _texels(quick: bool, repeats: int) -> Plot:
    """One size after the other: the largest map takes gigabytes."""
    sizes = (256, 512, 1024, 2048) if quick else (256, 512, 1024, 2048, 4096, 8192)
    rows = []
    for size in sizes:
        scene = ring_laid()
        kept = MirrorMap(scene, size)
        rows.append(tuple(_seconds(scene, kept) for _ in range(repeats)))
        del kept
    line = Line("traced and mapped", sizes, tuple(rows))
    return Plot("Map size", "texels a side", "988 tiles", (line,), 2.0)


def _lamps(quick: bool, repeats: int) -> Plot:
    numbers = (1, 4, 16) if quick else (1, 2, 4, 8, 16, 32)
    scenes = [ring_laid(lamps=number) for number in numbers]
    lines = _both(numbers, [(scene, MirrorMap(scene, 1024)) for scene in scenes], repeats)
    return Plot("Lamps", "lamps", "988 tiles, lamps all around", lines, 1.0)


def _mirrors(quick: bool, repeats: int) -> Plot:
    numbers = (1, 4, 8) if quick else tuple(range(1, 9))
    scenes = [spiked(bounces=number) for number in numbers]
    lines = _both(numbers, [(scene, MirrorMap(scene, 1024)) for scene in scenes], repeats)
    return Plot("Bounces", "most mirrors in a chain", "spikes on spikes, 720 tiles", lines, None)


def _threads(quick: bool, repeats: int) -> Plot:
    """As many as there are processors, by doublings."""
    numbers = tuple(2**k for k in range(processors().bit_length()))
    scenes = {"raised, 105": raised(), "rings, 988": ring_laid(), "spikes, 720": spiked()}
    lines = []
    for name, scene in scenes.items():
        kept = MirrorMap(scene, 1024)

        def seconds(number: int, scene: Scene = scene, kept: MirrorMap = kept) -> float:
            with at_most(number):
                return _seconds(scene, kept, 9)

        lines.append(Line(name, numbers, turns(seconds, numbers, repeats)))
    return Plot(THREADS, "threads", "time over that on one thread", tuple(lines), -1.0)


def _both(
    at: tuple[int, ...], maps: Sequence[tuple[Scene, MirrorMap]], repeats: int
) -> tuple[Line, Line]:
    """The time of a whole map, and of tracing alone."""

    def seconds(place: int) -> tuple[float, float]:
        scene, kept = maps[place]
        traced = median_seconds(lambda: beams(scene.at(degrees=10)), 3)
        return _seconds(scene, kept), traced

    rows = turns(seconds, range(len(maps)), repeats)
    whole, traced = (tuple(tuple(pair[k] for pair in row) for row in rows) for k in (0, 1))
    return Line("traced and mapped", at, whole), Line("traced", at, traced)


def _seconds(scene: Scene, kept: MirrorMap, times: int = 3) -> float:
    return median_seconds(lambda: kept.of(scene.at(degrees=10)), times)


def turns(
    seconds: Callable[[int], Found], places: Sequence[int], repeats: int
) -> tuple[tuple[Found, ...], ...]:
    """Seconds for each place, one a repeat, through all places in turn: what slows the machine for
    a while slows all of them."""
    rows = [[seconds(place) for place in places] for _ in range(repeats)]
    return tuple(zip(*rows, strict=True))


def growth(line: Line) -> float:
    """The power of the axis that the time grows with, over the second half of the line."""
    half = len(line.at) // 2 if len(line.at) > 2 else 0
    (x, first), (y, last) = ((line.at[k], line.medians[k]) for k in (half, -1))
    return math.log(last / first) / math.log(y / x)


def as_markdown(plots: Sequence[Plot]) -> str:
    """Every median, with lowest and highest, in ms."""
    rows = [
        (plot.axis, line.name, f"{at:,}", f"{told(1e3 * median(row))}",
         f"{told(1e3 * min(row))} to {told(1e3 * max(row))}", str(len(row)))
        for plot in plots
        for line in plot.lines
        for at, row in zip(line.at, line.seconds, strict=True)
    ]  # fmt: skip
    headings = ("axis", "what", "at", "median, ms", "lowest to highest", "repeats")
    return markdown(headings, rows)
