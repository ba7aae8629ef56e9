"""A long exposure: the mean light of a whole turn of the slowest ball."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction
from itertools import islice

import numpy as np

from glint.errors import require_kind, require_number
from glint.kernels.arrays import Beams
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.lighting.illumination import MOST_TEXELS, LightMap, LightMaps, beams, summed
from glint.lighting.openings import darken, open_texels
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import IncrementalStringMap
from glint.room.charts import chart_of
from glint.scene.period import exposure_time
from glint.scene.scene import Scene

STRIDE = 0.75
"""Most that a spot moves between two instants, in edges of the smallest tile; a spot is always
larger than its tile, and soft, so streaks come out even to about 1 %. Steps below a texel would
gain nothing."""

MOST_INSTANTS = 20_000

SHADOWS = 96
"""Instants whose shadows are taken: the silhouette of a turning ball hardly changes."""

STRING_TURNS, STRING_INSTANTS = 1024, 128
"""Instants of strings where their pattern turns as a whole, and where it does not: their light is
softer than a lamp's."""

AT_ONCE = 32
"""Instants whose beams are laid onto the maps together, which is quicker than one by one."""


def long_exposure(
    scene: Scene,
    texels: int = 1024,
    progress: Callable[[int, int], None] | None = None,
    count: int | None = None,
) -> dict[str, LightMap]:
    """Light maps of every surface, the mean over a whole turn; see `illumination.light`.

    progress: called with (done, total) instants. count: of instants, as many as even streaks want
    if it is not given. Raises GlintError where nothing turns.
    """
    require_kind("scene", scene, Scene, "a scene, as glint.load or glint.Scene makes it")
    require_number("texels", texels, 1, MOST_TEXELS, whole=True)
    seconds, lamps = exposure_time(scene), lighting_of(scene).lamp_arrays
    _ = lighting_of(scene).occluders  # found once, before threads ask for it
    surfaces = scene.room.surfaces
    charts = {surface.name: chart_of(surface, texels) for surface in surfaces}
    maps = {name: np.zeros((*chart.size, 3), np.float32) for name, chart in charts.items()}
    finest = math.sqrt(min(chart.texel_area for chart in charts.values()))
    count = count or min(instants(scene, float(seconds), finest), MOST_INSTANTS)
    poses = (scene.at(seconds=float(seconds * Fraction(n, count))) for n in range(count))
    with ThreadPoolExecutor() as pool:
        for first in range(0, count, AT_ONCE):
            some = list(islice(poses, AT_ONCE))
            joined = _joined([found for found, _ in pool.map(beams, some)])
            for surface in surfaces:
                chart, blocks = charts[surface.name], lighting_of(scene).blocks(surface, texels)
                add_beams(joined, lamps, chart, maps[surface.name], blocks)
            if progress is not None:
                progress(first + len(some), count)
    spilt = {name: np.zeros_like(lux) for name, lux in maps.items()}
    shadows = min(count, SHADOWS)
    for n in range(shadows):
        pose = scene.at(seconds=float(seconds * Fraction(2 * n + 1, 2 * shadows)))
        covered = silhouettes(pose)
        for surface in surfaces:
            chart, blocks = charts[surface.name], lighting_of(scene).blocks(surface, texels)
            add_direct_light(lamps, covered, chart, spilt[surface.name], blocks)
    landed = {}
    openings = {surface.name: open_texels(scene, surface, texels) for surface in surfaces}
    for name, chart in charts.items():
        maps[name] /= np.float32(count)
        maps[name] += spilt[name] / np.float32(shadows)
        _add_strings(scene, name, texels, float(seconds), maps[name])
        darken(maps[name], openings[name])
        landed[name] = summed(maps[name]) * chart.texel_area
    ambient = scene.room.ambient + scene.room.interreflected(landed)
    return LightMaps(
        {
            surface.name: LightMap(
                surface,
                charts[surface.name],
                maps[surface.name],
                ambient,
                lighting_of(scene).blocks(surface, texels).inside,
                openings[surface.name],
            )
            for surface in surfaces
        }
    )


def _add_strings(scene: Scene, name: str, texels: int, seconds: float, lux: np.ndarray) -> None:
    """Add the mean light of the strings. A twinkle is taken at its mean, half of full."""
    if not scene.strings:
        return
    surface = next(surface for surface in scene.room.surfaces if surface.name == name)
    running = IncrementalStringMap(scene, surface, texels, twinkling=False)
    count = STRING_TURNS if running.is_kept else STRING_INSTANTS
    poses = [scene.at(seconds=seconds * n / count) for n in range(count)]
    for first in range(0, count, AT_ONCE):
        some = poses[first : first + AT_ONCE]
        running.add(some, lux, len(some) / count)


def instants(scene: Scene, seconds: float, texel: float) -> int:
    """Instants of so many seconds for streaks without beads; texel: m."""
    smallest = min(ball.body.tile_edge for ball in scene.balls)
    moved = scene.fastest_spot * seconds
    return max(math.ceil(moved / max(texel, STRIDE * smallest)), 1)


def _joined(found: Sequence[Beams]) -> Beams:
    return Beams._make(np.concatenate(column) for column in zip(*found, strict=True))
