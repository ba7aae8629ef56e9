"""Edits of a scene: how long until it can be traced again, and until it is drawn exactly.

Processor time beside the wall's: on a busy machine the latter says more of the neighbours.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any

import glint
from glint.lighting.prepared import lighting_of
from glint.render.still import eye_luminance
from glint.scene.scene import Scene
from tests.bench.command import SCENES
from tests.bench.figures import Figure, median

NAMES = ("orchard", "windfall")
EDITS: dict[str, Callable[[int], dict[str, Any]]] = {
    "lamp": lambda n: {"lamp[0].at_m": (2.0 + 0.01 * n, 0.5, 1.5)},
    "height": lambda n: {"ball[0].hang.height_m": 2.0 + 0.01 * n},
    "speed": lambda n: {"ball[0].motion.rpm": 1.0 + 0.1 * n},
    "camera": lambda n: {"eye.at_m": (0.3, -2.0 - 0.01 * n, 1.3)},
    "tile": lambda n: {"ball[0].tile.thickness_mm": 2.0 + 0.01 * n},
    "room": lambda n: {"room.floor_reflectance": 0.2 + 0.01 * n},
}


def traced(scene: Scene) -> None:
    """All that tracing wants but the rays."""
    lighting = lighting_of(scene)
    _ = lighting.occluders, lighting.lamp_arrays, scene.at(degrees=10.0).polygons


def dome(scene: Scene) -> None:
    """What is overhead, 1024 texels wide, exactly, of a scene that can be traced."""
    glint.light(scene.at(degrees=10.0), 1024, scene.room.surfaces[0].name)


def eye(scene: Scene) -> None:
    """The eye's view, exactly, of a scene that can be traced."""
    eye_luminance(scene.at(degrees=10.0), (1280, 720))


STAGES = {"ready for tracing": traced, "dome 1024": dome, "eye 1280x720": eye}


def measure(quick: bool) -> Iterator[Figure]:
    """Milliseconds after each kind of edit; the first of a kind fills caches and is left off."""
    for name in NAMES[:1] if quick else NAMES:
        scene = glint.load(SCENES / f"{name}.toml")
        for stage in STAGES.values():
            stage(scene)
        for kind in EDITS:
            runs = [_timed(scene, kind, n) for n in range(3 if quick else 8)][1:]
            for stage in STAGES:
                wall = tuple(run[stage][0] for run in runs)
                worked = median([run[stage][1] for run in runs])
                what = f"edit of {kind}, {name}: {stage}"
                yield Figure(what, wall, "ms", note=f"{worked:.0f} ms of one core")


def _timed(scene: Scene, kind: str, number: int) -> dict[str, tuple[float, float]]:
    start, begun = time.perf_counter(), time.process_time()
    edited = scene.with_(EDITS[kind](number))
    found = {}
    for name, stage in STAGES.items():
        stage(edited)
        found[name] = (
            1e3 * (time.perf_counter() - start),
            1e3 * (time.process_time() - begun),
        )
        start, begun = time.perf_counter(), time.process_time()
    return found
