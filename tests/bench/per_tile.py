"""Whether the time grows with the number of tiles alone, from a thousand to a hundred thousand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from glint.kernels.runtime.threads import at_most
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.scene.scene import Scene
from tests.bench.evenings import MirrorMap, ring_laid
from tests.bench.figures import Figure, median, median_seconds, seconds_of, spread

EDGE_MM, GAP_MM = 8.0, 1.0
TEXELS = 1024

WIDE = 3.0
"""How many times as large as usual the dome is in which the bar holds: 12 m in radius. There a ball
of 1.6 m shows a lamp nearly as many of its tiles as one of 0.16 m does (0.46 and 0.49 of them; in a
dome of 4 m 0.37 and 0.49), and its spots are as large: the number of tiles is all that differs."""

PARTS = ("one thread", "all threads", "beams", "light map")
"""What is timed: beams and map together, on one thread, which tells the work itself, and on all,
which adds their meeting; then each by itself, on all."""


class Laid(NamedTuple):
    """A ball laid with so many tiles, its map, and the seconds that building took, time by time."""

    tiles: int
    scene: Scene
    kept: MirrorMap
    once: tuple[float, ...]


def measure(quick: bool) -> Iterator[Figure]:
    """Balls of ever larger diameter, laid with the same tiles, on one map; each is its own peer, as
    large as the others. In a wide dome, and in the usual one, where large balls have it easier."""
    wanted = (1_000, 10_000) if quick else (1_000, 3_000, 10_000, 30_000, 100_000)
    repeats = 2 if quick else 7
    yield from _compared([laid(number, WIDE) for number in wanted], repeats, "12 m", 1.5)
    balls = [laid(number, times=1 if quick else 3) for number in wanted]
    yield from _compared(balls, repeats, "4 m", None)
    built = ", ".join(f"{ball.tiles:,}: {median(ball.once):.2g}" for ball in balls)
    what = "once a scene: building, and what faces what"
    yield Figure(what, balls[-1].once, "s", note=f"s: {built}")


def _compared(balls: list[Laid], repeats: int, where: str, bar: float | None) -> Iterator[Figure]:
    # Turn by turn through all sizes, so that what slows the machine slows all of them.
    turns = [[timed(ball) for ball in balls] for _ in range(repeats)]
    for number, name in enumerate(PARTS):
        each = [
            [1e6 * t[number] / b.tiles for t, b in zip(turn, balls, strict=True)] for turn in turns
        ]
        medians = [median(column) for column in zip(*each, strict=True)]
        told = ", ".join(f"{b.tiles:,}: {m:.3g}" for b, m in zip(balls, medians, strict=True))
        what = f"time per tile, {name}, dome of {where}: most over least"
        held = bar if number < 2 else None
        yield Figure(what, tuple(spread(turn) for turn in each), "x", held, note=f"µs: {told}")


def laid(tiles: int, wide: float = 1.0, times: int = 1) -> Laid:
    """A ball of about so many tiles, ready; built so many times. wide: see `ring_laid`."""
    step = (EDGE_MM + GAP_MM) / 1000.0
    diameter = step * float(np.sqrt(tiles / np.pi))
    made = []

    def make() -> None:
        made.append(ring_laid(diameter, EDGE_MM, GAP_MM, wide=wide))
        _ = lighting_of(made[-1]).occluders, lighting_of(made[-1]).lamp_arrays

    once = tuple(seconds_of(make) for _ in range(times))
    return Laid(len(made[0].balls[0].body.tile_sides), made[0], MirrorMap(made[0], TEXELS), once)


def timed(ball: Laid) -> tuple[float, float, float, float]:
    """Seconds of PARTS: medians of three times or more, more of what is over at once."""
    repeats = max(3, 30_000 // ball.tiles)
    with at_most(1):
        alone = median_seconds(lambda: ball.kept.of(ball.scene.at(degrees=10)), repeats)
    tracing = median_seconds(lambda: beams(ball.scene.at(degrees=10)), repeats)
    both = median_seconds(lambda: ball.kept.of(ball.scene.at(degrees=10)), repeats)
    return alone, both, tracing, both - tracing
