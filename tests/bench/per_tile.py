"""Whether the time grows with the number of tiles alone, from a thousand to a hundred thousand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from glint.rig.light import beams
from tests.bench.evenings import MirrorMap, ring_laid
from tests.bench.figures import Figure, median_seconds, seconds_of, spread

EDGE_MM, GAP_MM = 8.0, 1.0
TEXELS = 1024


def measure(quick: bool) -> Iterator[Figure]:
    """Balls of ever larger diameter, laid with the same tiles, in one room and on one map."""
    wanted = (1_000, 10_000) if quick else (1_000, 3_000, 10_000, 30_000, 100_000)
    rows = [_row(number, 3 if quick else 9) for number in wanted]
    names = ("both", "beams", "light map")
    for name, times in zip(names, zip(*(row[1:4] for row in rows), strict=True), strict=True):
        each = [1e6 * time / row[0] for time, row in zip(times, rows, strict=True)]
        told = ", ".join(f"{row[0]:,}: {time:.3g}" for row, time in zip(rows, each, strict=True))
        bar = 1.5 if name == "both" else None
        yield Figure(
            f"time per tile, {name}: most over least", spread(each), "x", bar, note=f"µs: {told}"
        )
    built = ", ".join(f"{row[0]:,}: {row[4]:.2g}" for row in rows)
    yield Figure(
        "once a scene: building, and what faces what", rows[-1][4], "s", note=f"s: {built}"
    )


def _row(tiles: int, repeats: int) -> tuple[float, ...]:
    """tiles, seconds of both, of the beams, of the map, and once a scene."""
    step = (EDGE_MM + GAP_MM) / 1000.0
    diameter = step * float(np.sqrt(tiles / np.pi))
    made = []
    once = seconds_of(lambda: made.append(_ready(diameter)))
    scene = made[0]
    kept = MirrorMap(scene, TEXELS)
    tracing = median_seconds(lambda: beams(scene.at(degrees=10)), repeats)
    both = median_seconds(lambda: kept.of(scene.at(degrees=10)), repeats)
    return len(scene.balls[0].body.tile_sides), both, tracing, both - tracing, once


def _ready(diameter: float):
    scene = ring_laid(diameter, EDGE_MM, GAP_MM)
    _ = scene.facing, scene.lamp_arrays
    return scene
