"""A long exposure of three balls at different speeds, one of which swings."""

from __future__ import annotations

import time
from collections.abc import Iterator

import glint
from glint.lighting.long_exposure import long_exposure
from tests.bench.figures import Figure


def evening() -> glint.Scene:
    """Three small bodies in a bell tent, at 1, 2 and 3 turns a minute, two lamps."""
    shapes = (
        {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]},
        {"base": "cuboctahedron"},
        {"base": "octahedron", "steps": [{"do": "spike", "sides": 3, "levels": 1}]},
    )
    places = ((2.0, (0.8, 0.3)), (1.9, (-0.6, 0.8)), (1.8, (-0.2, -0.9)))
    balls = [
        {
            "name": f"ball {number}",
            "shape": shape,
            "hang": {"height_m": height, "at_m": place},
            "motion": {"rpm": number, **({"swing_deg": 6} if number == 3 else {})},
        }
        for number, (shape, (height, place)) in enumerate(zip(shapes, places, strict=True), 1)
    ]
    lamps = [
        {"at_m": (1.9, 0.2, 1.0), "aim": "ball 1", "beam_deg": 10},
        {"at_m": (-1.6, -1.4, 0.8), "aim": "ball 3", "beam_deg": 14, "colour": "#4060ff"},
    ]
    return glint.Scene(room=glint.Bell(radius_m=2.5), balls=balls, lamps=lamps)


def measure(quick: bool) -> Iterator[Figure]:
    """Processor time until its error is below 2 %, over all threads."""
    texels, repeats = (256, 1) if quick else (1024, 3)
    scene = evening()
    long_exposure(scene, texels, count=16)  # compiles
    seconds = []
    for _ in range(repeats):
        start = time.process_time()
        found = long_exposure(scene, texels)
        seconds.append(time.process_time() - start)
    what = f"long exposure of three balls, {texels}², to 2 %"
    note = f"processor time; {found.instants:,} instants, error {100 * found.error:.1f} %"
    yield Figure(what, tuple(seconds), "s", 60.0, note=note)
