"""How time grows: with tiles, texels, lamps, mirrors in a chain, and threads."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from glint.optics.threads import at_most, processors
from glint.rig.light import beams
from glint.rig.scene import Scene
from tests.bench.evenings import MirrorMap, raised, ring_laid, spiked
from tests.bench.figures import markdown, median, median_seconds, told
from tests.bench.per_tile import laid

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
    """Lines over one axis. fits: how an ideal would grow, as a power of the axis."""

    title: str
    axis: str
    note: str
    lines: tuple[Line, ...]
    fits: float


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
    return Plot("tiles", "tiles of a ring-laid ball", "8 mm each, map of 1024²", lines, 1.0)


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
    return Plot("map size", "texels along a side", "988 tiles", (line,), 2.0)


def _lamps(quick: bool, repeats: int) -> Plot:
    numbers = (1, 4, 16) if quick else (1, 2, 4, 8, 16, 32)
    scenes = [ring_laid(lamps=number) for number in numbers]
    lines = _both(numbers, [(scene, MirrorMap(scene, 1024)) for scene in scenes], repeats)
    return Plot("lamps", "lamps all around", "988 tiles, map of 1024²", lines, 1.0)


def _mirrors(quick: bool, repeats: int) -> Plot:
    numbers = (1, 4, 8) if quick else tuple(range(1, 9))
    scenes = [spiked(bounces=number) for number in numbers]
    lines = _both(numbers, [(scene, MirrorMap(scene, 1024)) for scene in scenes], repeats)
    return Plot("bounces", "most mirrors in a chain", "spikes on spikes, 720 tiles", lines, 0.0)


def _threads(quick: bool, repeats: int) -> Plot:
    """As many as there are processors, by doublings."""
    numbers = tuple(2**k for k in range(processors().bit_length()))
    scenes = {"ring-laid": ring_laid(), "raised, 105 tiles": raised(), "spikes on spikes": spiked()}
    lines = []
    for name, scene in scenes.items():
        kept = MirrorMap(scene, 1024)

        def seconds(number: int, scene: Scene = scene, kept: MirrorMap = kept) -> float:
            with at_most(number):
                return _seconds(scene, kept, 9)

        lines.append(Line(name, numbers, turns(seconds, numbers, repeats)))
    return Plot("threads", "threads", "one map of 1024²", tuple(lines), -1.0)


def _both(
    at: tuple[int, ...], maps: Sequence[tuple[Scene, MirrorMap]], repeats: int
) -> tuple[Line, Line]:
    """The time of a whole map, and of tracing alone."""
    places = range(len(maps))
    whole = turns(lambda number: _seconds(*maps[number]), places, repeats)
    traced = turns(
        lambda number: median_seconds(lambda: beams(maps[number][0].at(degrees=10)), 3),
        places,
        repeats,
    )
    return Line("traced and mapped", at, whole), Line("traced", at, traced)


def _seconds(scene: Scene, kept: MirrorMap, times: int = 3) -> float:
    return median_seconds(lambda: kept.of(scene.at(degrees=10)), times)


def turns(seconds: Callable[[int], float], places: Sequence[int], repeats: int) -> Times:
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
