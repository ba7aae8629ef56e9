"""Comparing twelve candidates with everything that comes with it, and how measuring grows."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from glint.analysis.measure import measure as measured
from glint.scene.scene import Scene
from glint.shape.catalogue import catalogue
from tests.bench.command import run
from tests.bench.evenings import ring_laid
from tests.bench.figures import Figure, median, spread

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
    shapes, repeats = (1, 1) if quick else (len(CANDIDATES), 3)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "twelve.toml"
        place.write_text(SCENE + "".join(_candidates(shapes)))
        outputs = [Path(folder) / f"twelve.{ending}" for ending in ("html", "png", "csv")]
        given = [word for output in outputs for word in ("-o", output)]
        runs = [run("compare", place, "--workers", 2, "--force", *given) for _ in range(repeats)]
    what = f"compare, {1 + shapes} candidates of up to 300 tiles, pictures and report"
    note = f"{max(one.memory for one in runs) / 1e9:.2g} GB at most"
    yield Figure(what, tuple(one.seconds for one in runs), "s", 60.0, note=note)
    # 1 where two processors share the work evenly and nobody else wants them.
    over = tuple(2.0 * one.seconds / one.worked for one in runs)
    half = median([one.worked / 2.0 for one in runs])
    yield Figure(f"{what}: over half its processor time", over, "x", note=f"{half:.1f} s")


def _candidates(number: int) -> Iterator[str]:
    entries = {entry.name: entry for entry in catalogue()}
    for name in CANDIDATES[:number]:
        entry = entries[name]
        shape = f'base = "{entry.base}", steps = {entry.steps}'
        yield f'\n[[candidate]]\nname = "{name[:60]}"\nshape = {{ {shape} }}\n'


def grown(quick: bool) -> Iterator[Figure]:
    """Processor time of `measure` a tile and pose, on balls laid with more and more tiles."""
    diameters, repeats = ((0.08, 0.12), 1) if quick else ((0.1, 0.2, 0.4), 3)
    scenes = [ring_laid(diameter, EDGE_MM, GAP_MM) for diameter in diameters]
    tiles = [len(scene.balls[0].body.tile_sides) for scene in scenes]
    turns = [[_measured(scene) for scene in scenes] for _ in range(repeats)]
    each = [[1e6 * one / n for one, n in zip(turn, tiles, strict=True)] for turn in turns]
    medians = [median(column) for column in zip(*each, strict=True)]
    told = ", ".join(f"{n:,} tiles: {one:.3g}" for n, one in zip(tiles, medians, strict=True))
    note = f"µs of processor time: {told}"
    what = "measure, a tile and pose: most over least"
    yield Figure(what, tuple(spread(turn) for turn in each), "x", note=note)


def _measured(scene: Scene) -> float:
    """Processor seconds a pose."""
    start = time.process_time()
    poses = measured(scene, tolerance=0.1).poses
    return (time.process_time() - start) / poses
