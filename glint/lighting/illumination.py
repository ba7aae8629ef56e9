"""The light of a pose: beams, light maps, spots and the energy audit."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from glint.errors import MissingError, require_choice, require_kind, require_number
from glint.kernels.arrays import Beams, Fates, Flags, Floats
from glint.kernels.beams.trace import trace
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.illuminance.spot_moments import measure_spots
from glint.kernels.surfaces.equal_area import Chart, points
from glint.lighting.openings import darken, open_texels
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import IncrementalStringMap, add_strings
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.scene import Pose

A_POSE = "a pose, as scene.at(degrees=15.0) makes it"
MOST_TEXELS = 16384
"""Width of the largest light map."""


@dataclass(frozen=True)
class LightMap:
    """Illuminance on one surface.

    lux: (h, w, 3) float32, linear RGB, lx, from lamps, mirrors and strings; zero off the surface,
        and where it is open
    ambient: (3,) float, lx, to be added: what is always there, and light that bounces about
    inside: (h, w) bool, texels on the surface
    pattern: (r, c, 3) float32, lx, of mirrors and strings alone, every n-th texel: what a picture
        is exposed for, so that a lamp that misses its ball does not darken it
    direct: (h, w, 3) float32, the part of lux that comes straight from lamps; of long exposures
    open: (h, w) bool, texels where light leaves; None if there are none
    """

    surface: Surface
    chart: Chart
    lux: np.ndarray
    ambient: Floats
    inside: Flags
    pattern: np.ndarray
    direct: np.ndarray | None = None
    open: Flags | None = None

    @property
    def point(self) -> Floats:
        """Texel centres, m: (h, w, 3) float."""
        return points(self.chart.kind, self.chart.size, self.chart.place, self.chart.form)[1]


class LightMaps(dict[str, LightMap]):
    """Light maps by the names of their surfaces; a name that is not there is told as what is."""

    def __missing__(self, name: object) -> LightMap:
        require_choice("surface", name, self, MissingError)
        raise AssertionError


class Spot(NamedTuple):
    """The patch that one chain of tiles lights on one surface; metres, lux, lumens.

    ball: of the last tile; tiles: in the light's order, each ball's numbered from 0, as in
    `Body.tile_corners`; balls: that of each tile
    """

    lamp: str
    ball: str
    tiles: tuple[int, ...]
    balls: tuple[str, ...]
    bounces: int
    surface: str
    x: float
    y: float
    z: float
    area: float
    diameter: float
    peak_lux: float
    lumens: float


def beams(pose: Pose) -> tuple[Beams, Fates]:
    """Every beam that leaves a ball for the room, and what became of the rest."""
    require_kind("pose", pose, Pose, A_POSE)
    options = pose.scene.optics
    return trace(
        pose.polygons,
        lighting_of(pose.scene).occluders,
        lighting_of(pose.scene).lamp_arrays,
        options.bounces,
        options.flux_floor,
    )


SAMPLED = 512
"""Most samples across a surface of what a picture is exposed for."""

REST = 512
"""Most texels across a surface whose light counts, but which nobody looks at."""


def light(
    pose: Pose, texels: int = 1024, seen: str | Collection[str] | None = None
) -> dict[str, LightMap]:
    """Light maps of every surface; the dome's and the floor's are `texels` wide.

    seen: names of the surfaces that are looked at, if only some are; the others, which
    then only matter for the light that they throw back, are at most REST wide.
    """
    require_kind("pose", pose, Pose, A_POSE)
    require_number("texels", texels, 1, MOST_TEXELS, whole=True)
    if seen is not None:
        names = [surface.name for surface in pose.scene.room.surfaces]
        for name in (seen,) if isinstance(seen, str) else seen:
            require_choice("seen", name, names)
    return lit(pose, beams(pose)[0], texels, seen)


def sampled(values: np.ndarray) -> np.ndarray:
    """Every n-th texel of a map (h, w, ...), at most SAMPLED either way."""
    step = -(-max(values.shape[:2]) // SAMPLED)
    return values[::step, ::step].copy()


def in_a_row(colour: Floats, columns: int) -> np.ndarray:
    """A colour (3,) over and over, as a row of a map holds it: (3 columns,) float32. Three numbers
    at a time, colour by colour, take numpy four times as long."""
    return np.tile(np.asarray(colour, np.float32), columns)


def coloured(inside: Flags, colour: Floats) -> np.ndarray:
    """A colour (3,) on a surface, nothing off it: (h, w, 3) float32."""
    height, width = inside.shape
    return (np.repeat(inside, 3, axis=1) * in_a_row(colour, width)).reshape(height, width, 3)


def summed(lux: np.ndarray) -> Floats:
    """The sum of a map (h, w, 3) over its texels: (3,) float. Rows first, which is fifteen times as
    quick as both ways at once."""
    return lux.sum(axis=0, dtype=np.float64).sum(axis=0)


def _sharp(surface: Surface, texels: int, seen: Collection[str] | None) -> int:
    return texels if seen is None or surface.name in seen else min(texels, REST)


def lit(
    pose: Pose,
    found: Beams,
    texels: int = 1024,
    seen: str | Collection[str] | None = None,
    strings: Mapping[str, IncrementalStringMap] | None = None,
) -> dict[str, LightMap]:
    """The same from beams that are there already. strings: what is to run on over some surfaces
    that are seen, by name."""
    seen = (seen,) if isinstance(seen, str) else seen
    room, lamps = pose.scene.room, lighting_of(pose.scene).lamp_arrays
    covered = silhouettes(pose)
    maps, landed = {}, {}
    for surface in room.surfaces:
        sharp = _sharp(surface, texels, seen)
        chart = chart_of(surface, sharp)
        lux = np.zeros((*chart.size, 3), np.float32)
        blocks = lighting_of(pose.scene).blocks(surface, sharp)
        add_beams(found, lamps, chart, lux, blocks)
        if strings is not None and surface.name in strings:
            strings[surface.name].add([pose], lux)
        else:
            add_strings(pose, chart, lux, blocks)
        openings = open_texels(pose.scene, surface, sharp)
        darken(lux, openings)
        pattern = sampled(lux)
        add_direct_light(lamps, covered, chart, lux, blocks)
        darken(lux, openings)
        maps[surface.name] = LightMap(
            surface, chart, lux, room.ambient, blocks.inside, pattern, open=openings
        )
        landed[surface.name] = summed(lux) * chart.texel_area
    ambient = room.ambient + room.interreflected(landed)
    return LightMaps({name: replace(found, ambient=ambient) for name, found in maps.items()})


def add_straight_light(pose: Pose, found: Beams, texels: int, maps: Sequence[np.ndarray]) -> None:
    """Add to a map of each surface, (h, w, 3) float32, lx, what comes straight from beams, lamps
    and strings: as in `lit`, onto arrays that are there."""
    lamps, covered = lighting_of(pose.scene).lamp_arrays, silhouettes(pose)
    for surface, lux in zip(pose.scene.room.surfaces, maps, strict=True):
        chart, blocks = chart_of(surface, texels), lighting_of(pose.scene).blocks(surface, texels)
        add_beams(found, lamps, chart, lux, blocks)
        add_direct_light(lamps, covered, chart, lux, blocks)
        add_strings(pose, chart, lux, blocks)
        darken(lux, open_texels(pose.scene, surface, texels))


def spots(pose: Pose) -> list[Spot]:
    """A row for every spot: each chain of tiles on each surface that it lights."""
    found, _ = beams(pose)
    scene = pose.scene
    if not len(found.lamp):
        return []
    keys = np.column_stack([found.lamp, found.chain])
    chains, spot_of = np.unique(keys, axis=0, return_inverse=True)
    order = np.argsort(spot_of.ravel(), kind="stable")
    sorted_beams = Beams._make(column[order] for column in found)
    start = np.searchsorted(spot_of.ravel()[order], np.arange(len(chains) + 1))
    owner = scene.still_polygons.ball
    begin = np.searchsorted(owner, np.arange(len(scene.balls)))
    rows = []
    for surface in scene.room.surfaces:
        chart = chart_of(surface, 1024)
        measured = measure_spots(
            sorted_beams, lighting_of(scene).lamp_arrays, start.astype(np.int64), chart
        )
        for key, first, values in zip(chains, start, measured, strict=False):
            if values[0] <= 0.0:
                continue
            lumens, peak, x, y, z, area, diameter = (float(value) for value in values)
            chain = [int(tile) for tile in key[1:] if tile >= 0]
            rows.append(
                Spot(
                    scene.lamps[key[0]].name,
                    scene.balls[int(sorted_beams.ball[first])].name,
                    tuple(tile - int(begin[owner[tile]]) for tile in chain),
                    tuple(scene.balls[owner[tile]].name for tile in chain),
                    int(sorted_beams.bounces[first]),
                    surface.name,
                    x,
                    y,
                    z,
                    area,
                    diameter,
                    peak,
                    lumens,
                )
            )
    return rows
