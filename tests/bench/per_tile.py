"""Whether the time grows with the number of tiles alone, from a thousand to a hundred thousand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from glint.optics.lightmap import add_beams
from glint.rig.light import beams
from glint.rig.survey import chart_of
from tests.bench.evenings import ring_laid
from tests.bench.figures import Figure, median_seconds, seconds_of, spread

EDGE_MM, GAP_MM = 8.0, 1.0
TEXELS = 1024


def measure(quick: bool) -> Iterator[Figure]:
    """Balls of ever larger diameter, laid with the same tiles, in one room and on one map."""
    wanted = (1_000, 10_000) if quick else (1_000, 3_000, 10_000, 30_000, 100_000)
    rows = [_row(number, 2 if quick else 3) for number in wanted]
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
    chart = chart_of(scene.room.surfaces[0], TEXELS)
    lux = np.zeros((*chart.size, 3), np.float32)
    tracing = median_seconds(lambda: beams(scene.at(degrees=10)), repeats)
    found, _ = beams(scene.at(degrees=10))
    mapping = median_seconds(lambda: add_beams(found, scene.lamp_arrays, chart, lux), repeats)
    return len(scene.balls[0].body.tile_sides), tracing + mapping, tracing, mapping, once


def _ready(diameter: float):
    scene = ring_laid(diameter, EDGE_MM, GAP_MM)
    _ = scene.facing, scene.lamp_arrays
    return scene
