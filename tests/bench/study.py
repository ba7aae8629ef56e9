"""Comparing twelve candidates with everything that comes with it, and how measuring grows."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from glint.shape.catalogue import catalogue
from glint.study.measure import measure as measured
from tests.bench.command import run
from tests.bench.evenings import ring_laid
from tests.bench.figures import Figure, spread

CANDIDATES = (
    "icosahedron, triangles spiked",
    "octahedron, triangles spiked 2 levels deep",
    "dodecahedron, pentagons raised, triangles raised",
    "snub cube, squares raised, triangles raised",
    "snub dodecahedron, pentagons raised",
    "snub dodecahedron, triangles raised, pentagons raised",
    "icosidodecahedron, pentagons raised, triangles raised",
    "rhombicosidodecahedron, pentagons raised, triangles raised",
    "rhombicosidodecahedron, squares raised, pentagons raised",
    "truncated cuboctahedron, hexagons capped, octagons capped, triangles raised",
    "truncated dodecahedron, decagons capped",
)
"""Shapes of the catalogue of 120 to 300 tiles, from convex to deeply folded."""

SCENE = """
title = "twelve for the harvest supper"

[room]
radius_m = 4.0

[[ball]]
name = "the ball"
shape = { base = "cube" }
hang = { height_m = 2.4 }

[[lamp]]
at_m = [3.0, 0.0, 1.6]
beam_deg = 8.0

[[candidate]]
name = "ring-laid"
shape = { base = "rings", diameter_m = 0.265 }
"""

EDGE_MM, GAP_MM = 8.0, 1.0


def compared(quick: bool) -> Iterator[Figure]:
    """`glint compare` of twelve: all measures, pictures and report, on two processors."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "twelve.toml"
        place.write_text(SCENE + "".join(_candidates(4 if quick else len(CANDIDATES))))
        outputs = [Path(folder) / f"twelve.{ending}" for ending in ("html", "png", "csv")]
        given = [word for output in outputs for word in ("-o", output)]
        found = run("compare", place, "--workers", 2, *given)
    number = 1 + (4 if quick else len(CANDIDATES))
    what = f"compare, {number} candidates of up to 300 tiles, pictures and report"
    note = f"{found.memory / 1e9:.2g} GB at most"
    yield Figure(what, found.seconds, "s", 60.0, note=note)
    # What it takes where nobody else wants the two processors.
    yield Figure(f"{what}: half its processor time", found.worked / 2.0, "s", 60.0)


def _candidates(number: int) -> Iterator[str]:
    entries = {entry.name: entry for entry in catalogue()}
    for name in CANDIDATES[:number]:
        entry = entries[name]
        shape = f'base = "{entry.base}", steps = {entry.steps}'
        yield f'\n[[candidate]]\nname = "{name[:60]}"\nshape = {{ {shape} }}\n'


def grown(quick: bool) -> Iterator[Figure]:
    """Processor time of `measure` a tile and pose, on balls laid with more and more tiles."""
    rows = []
    for diameter in (0.15, 0.3) if quick else (0.15, 0.3, 0.6):
        scene = ring_laid(diameter, EDGE_MM, GAP_MM)
        tiles = len(scene.balls[0].body.tile_sides)
        start = time.process_time()
        poses = measured(scene, tolerance=0.1).poses
        rows.append((tiles, poses, time.process_time() - start))
    each = [1e6 * seconds / tiles / poses for tiles, poses, seconds in rows]
    told = ", ".join(
        f"{tiles:,} tiles, {poses} poses: {one:.3g}"
        for (tiles, poses, _), one in zip(rows, each, strict=True)
    )
    note = f"µs of processor time: {told}"
    yield Figure("measure, a tile and pose: most over least", spread(each), "x", note=note)
