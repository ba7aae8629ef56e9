"""A long exposure: the mean light of a whole turn of the slowest ball."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import islice
from typing import NamedTuple

import numpy as np

from glint.errors import require_kind, require_number
from glint.kernels.arrays import Beams
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.surfaces.equal_area import Chart
from glint.lighting.convergence import error_of_halves, reduced
from glint.lighting.exposure_times import Halves, first_count, prime_from
from glint.lighting.illumination import MOST_TEXELS, LightMap, LightMaps, beams, sampled, summed
from glint.lighting.openings import darken, open_texels
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import IncrementalStringMap
from glint.room.charts import chart_of
from glint.scene.period import exposure_time
from glint.scene.scene import Pose, Scene

TOLERANCE = 0.02
"""Error that the mirrors' light may have, as a share of that light (both root mean square)."""

MOST_INSTANTS = 20_000
"""Of all attempts together."""

MOST_GROWTH, MARGIN = 2.5, 1.3
"""How many times as many instants the next attempt takes at most; and how many more than are
expected to do."""

SHADOWS = 97
"""Instants whose shadows are taken: the silhouette of a turning ball hardly changes."""

STRING_TURNS, STRING_INSTANTS = 1024, 128
"""Instants of strings where their pattern turns as a whole, and where it does not: their light is
softer than a lamp's."""

AT_ONCE = 32
"""Instants whose beams are laid onto the maps together, which is quicker than one by one."""


class Exposure(LightMaps):
    """Light maps of a long exposure.

    instants: that the mirrors' light is the mean of; error: of that mean, as a share of the light
    (root mean square, on the surface where it is worst), estimated from both halves of them.
    """

    instants: int = 0
    error: float = math.nan

    def trails(self) -> LightMaps:
        """The light of mirrors and strings alone. The ambient, and what lamps send straight onto
        the fabric, are there all the while and would drown all but the brightest trails."""
        dark = np.zeros(3)
        return LightMaps(
            {
                name: replace(one, lux=one.lux - one.direct, ambient=dark)
                for name, one in self.items()
                if one.direct is not None
            }
        )

    def in_words(self) -> str:
        """How well the mean has converged, as a line."""
        error = f"{100.0 * max(self.error, 0.001):.1f} %"
        return f"the mean of {self.instants} instants, within {error} of the exact mean"


def long_exposure(
    scene: Scene,
    texels: int = 1024,
    progress: Callable[[int, int], None] | None = None,
    count: int | None = None,
    tolerance: float = TOLERANCE,
) -> Exposure:
    """Light maps of every surface, the mean over a whole turn; see `illumination.light`.

    What the lamps send straight onto a surface is part of `lux`, and is in `direct` as well.

    progress: called with (done, total) instants. count: of instants, made even; without it, as many
    as bring the error of the mirrors' light below `tolerance`, and at most MOST_INSTANTS. Raises
    GlintError where nothing turns.
    """
    require_kind("scene", scene, Scene, "a scene, as glint.load or glint.Scene makes it")
    require_number("texels", texels, 1, MOST_TEXELS, whole=True)
    require_number("tolerance", tolerance, 1e-4, 1.0)
    seconds, surfaces = float(exposure_time(scene)), scene.room.surfaces
    charts = {surface.name: chart_of(surface, texels) for surface in surfaces}
    finest = math.sqrt(min(chart.texel_area for chart in charts.values()))
    half = first_count(scene, seconds, finest) if count is None else -(-count // 2)
    best, done = None, 0
    while best is None or (count is None and best.error > tolerance and half):
        half = min(half, (MOST_INSTANTS - done) // 2)
        found = _mirrored(Halves(scene, seconds, half), scene, texels, charts, done, progress)
        done += 2 * half
        if best is None or found.error < best.error:
            best = found
        half = min(_next_count(found, tolerance), (MOST_INSTANTS - done) // 2)
    exposed = Exposure(_with_lamps(scene, seconds, texels, charts, best.maps))
    exposed.instants, exposed.error = best.instants, best.error
    return exposed


class _Mean(NamedTuple):
    """The mirrors' light: maps, (h, w, 3) float32, lx; over so many instants; and its error."""

    maps: dict[str, np.ndarray]
    instants: int
    error: float


def _next_count(found: _Mean, tolerance: float) -> int:
    """Instants of each half that bring the error down to the tolerance, if it falls as it does."""
    if found.error >= 1.0:
        return prime_from(round(MOST_GROWTH * found.instants / 2))
    more = MARGIN * math.log(tolerance) / math.log(found.error) if found.error else 0.0
    return prime_from(round(min(max(more, 1.25), MOST_GROWTH) * found.instants / 2))


def _mirrored(
    halves: Halves,
    scene: Scene,
    texels: int,
    charts: dict[str, Chart],
    before: int,
    progress: Callable[[int, int], None] | None,
) -> _Mean:
    """What mirrors throw. before: instants of earlier attempts, for the progress."""
    lighting = lighting_of(scene)
    _ = lighting.occluders  # found once, before threads ask for it
    blocks = {s.name: lighting.blocks(s, texels) for s in scene.room.surfaces}
    maps = {name: np.zeros((*chart.size, 3), np.float32) for name, chart in charts.items()}
    sums, done, total = [], before, 2 * halves.count
    with ThreadPoolExecutor() as pool:
        for half in (0, 1):
            for some in _lots(scene.at(seconds=time) for time in halves.times(half)):
                joined = _joined([found for found, _ in pool.map(beams, some)])
                for name, chart in charts.items():
                    add_beams(joined, lighting.lamp_arrays, chart, maps[name], blocks[name])
                done += len(some)
                if progress is not None:
                    progress(done, before + total)
            sums.append({name: reduced(lux) for name, lux in maps.items()})
    first = sums[0]
    second = {name: lux - first[name] for name, lux in sums[1].items()}
    areas = {name: chart.texel_area for name, chart in charts.items()}
    for lux in maps.values():
        lux /= np.float32(total)
    return _Mean(maps, total, error_of_halves(first, second, areas))


def _lots(poses: Iterator[Pose]) -> Iterator[list[Pose]]:
    while some := list(islice(poses, AT_ONCE)):
        yield some


def _with_lamps(
    scene: Scene,
    seconds: float,
    texels: int,
    charts: dict[str, Chart],
    maps: dict[str, np.ndarray],
) -> dict[str, LightMap]:
    """The mirrors' mean light with that of lamps, of strings, and what walls throw back."""
    lighting = lighting_of(scene)
    direct = {name: np.zeros_like(lux) for name, lux in maps.items()}
    for number in range(SHADOWS):
        pose = scene.at(seconds=seconds * (number + 0.5) / SHADOWS)
        covered = silhouettes(pose)
        for surface in scene.room.surfaces:
            chart, blocks = charts[surface.name], lighting.blocks(surface, texels)
            add_direct_light(lighting.lamp_arrays, covered, chart, direct[surface.name], blocks)
    landed, patterns = {}, {}
    openings = {s.name: open_texels(scene, s, texels) for s in scene.room.surfaces}
    for name, chart in charts.items():
        _add_strings(scene, name, texels, seconds, maps[name])
        darken(maps[name], openings[name])
        patterns[name] = sampled(maps[name])
        direct[name] /= np.float32(SHADOWS)
        maps[name] += direct[name]
        darken(maps[name], openings[name])
        darken(direct[name], openings[name])
        landed[name] = summed(maps[name]) * chart.texel_area
    ambient = scene.room.ambient + scene.room.interreflected(landed)
    return {
        surface.name: LightMap(
            surface,
            charts[surface.name],
            maps[surface.name],
            ambient,
            lighting.blocks(surface, texels).inside,
            patterns[surface.name],
            direct[surface.name],
            openings[surface.name],
        )
        for surface in scene.room.surfaces
    }


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


def _joined(found: Sequence[Beams]) -> Beams:
    return Beams._make(np.concatenate(column) for column in zip(*found, strict=True))
