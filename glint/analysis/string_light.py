"""What strings throw into the room, beside all other light there, on average over a turn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.analysis.averaging import Averages, Values, averaged
from glint.analysis.definitions import values
from glint.analysis.period import Turn
from glint.kernels.arrays import Floats, Integers
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.surfaces.equal_area import Chart, points
from glint.lighting.energy_balance import audit
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.balance import StringAudit, audit_strings
from glint.lighting.strings.images import Images, images_of
from glint.lighting.strings.maps import add_strings
from glint.lighting.visibility import DARKEST, QUICK_TEXELS, bare, thrown_back
from glint.photometry.colour import LUMINANCE
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.scene import Pose

FEWEST, MOST = 4, 32
"""Poses: a string's light turns with its ball, and what lands hardly changes."""

TEXELS = 256
"""Width of the maps that the light overhead is read from."""

SMALL = 5e-3
"""Of shares: an error that does not matter."""


@dataclass(frozen=True)
class StringLight:
    """The light of all strings in one pose, beside that of the lamps.

    rows: one a string; images: those that land overhead
    lamps, strings: (t,) float, lx, straight from them at texels overhead, of which each stands for
    an area (t,), m**2; at_lamps, at_strings: (n,) float, lx, the same at the images' middles
    given, bounced: lx, all over: the room's own light with what strings throw back, and what lamps
    throw back
    contrast: from which on light stands out from all other
    """

    rows: list[StringAudit]
    images: Images
    lamps: Floats
    strings: Floats
    area: Floats
    at_lamps: Floats
    at_strings: Floats
    given: float
    bounced: float
    contrast: float
    has_lamps: bool

    @cached_property
    def lumens(self) -> float:
        """Of all LEDs."""
        return sum(row.lumens for row in self.rows)

    @property
    def straight(self) -> float:
        """Lumens that reach the room straight from LEDs."""
        return sum(sum(row.landed.values()) for row in self.rows)

    @property
    def glow(self) -> float:
        """Lumens that reach the room by way of the walls inside."""
        return sum(sum(row.glow.values()) for row in self.rows)

    def mean(self, lux: Floats) -> float:
        """Mean over what is overhead; NaN where all of that is open."""
        return float(lux @ self.area / self.area.sum()) if len(lux) else math.nan

    def median(self, lux: Floats) -> float:
        """What half of the area overhead has at least; NaN where all of it is open."""
        if not len(lux):
            return math.nan
        order = np.argsort(lux)
        under = np.cumsum(self.area[order])
        return float(lux[order[np.searchsorted(under, 0.5 * under[-1])]])

    def cover(self, lamps_on: bool) -> float:
        """Share of what is overhead where strings stand out from all other light."""
        rest = self.given + (self.bounced + self.lamps if lamps_on else 0.0)
        seen = self.strings >= np.maximum(self.contrast * rest, DARKEST)
        return self.mean(seen.astype(float))

    def standing_out(self, lamps_on: bool) -> int:
        """Images overhead whose peak stands out from all other light at their middle, that of the
        other images there included."""
        rest = self.given + np.maximum(self.at_strings - self.images.peak, 0.0)
        if lamps_on:
            rest = rest + self.bounced + self.at_lamps
        return int((self.images.peak >= np.maximum(self.contrast * rest, DARKEST)).sum())


def strings_over(turn: Turn, tolerance: float) -> Averages:
    """All measures of a scene's strings over a turn."""
    return averaged(
        lambda share: _at(turn, share),
        FEWEST,
        MOST,
        tolerance,
        small=lambda name: SMALL if name.endswith("_share") else 0.0,
    )


def _at(turn: Turn, share: float) -> Values:
    twinkle = max(string.period for string in turn.scene.strings)
    still = not turn.seconds and twinkle
    pose = turn.scene.at(seconds=share * twinkle) if still else turn.at(share)
    return values("strings", string_light(pose))


def string_light(pose: Pose) -> StringLight:
    """What the strings of a pose send overhead, and what else is there."""
    scene = pose.scene
    rows = audit_strings(pose, TEXELS)
    found, covered, lamps = beams(pose)[0], silhouettes(pose), lighting_of(scene).lamp_arrays
    images = images_of(pose)
    images = Images._make(column[images.surface < scene.room.above] for column in images)
    at = np.zeros((2, len(images.peak)))
    columns = []
    for number, part in enumerate(scene.room.overhead.parts):
        chart, blocks = chart_of(part, TEXELS), lighting_of(scene).blocks(part, TEXELS)
        lux = np.zeros((2, *chart.size, 3), np.float32)
        add_beams(found, lamps, chart, lux[0], blocks)
        add_direct_light(lamps, covered, chart, lux[0], blocks)
        add_strings(pose, chart, lux[1], blocks)
        white = lux.astype(float) @ LUMINANCE
        here = images.surface == number
        at[:, here] = white[:, *_texels(part, chart, images.point[here])]
        # What an open triangle of a frame lets out is lost, and nobody sees it.
        shown = blocks.inside.copy()
        middles = points(chart.kind, chart.size, chart.place, chart.form)[1][shown]
        shown[shown] = ~bare(scene, number, middles)
        columns.append([*white[:, shown], np.full(int(shown.sum()), chart.texel_area)])
    on_lamps, on_strings, area = (np.concatenate(column) for column in zip(*columns, strict=True))
    given = thrown_back(scene, (), rows)
    return StringLight(
        rows=rows,
        images=images,
        lamps=on_lamps,
        strings=on_strings,
        area=area,
        at_lamps=at[0],
        at_strings=at[1],
        given=given,
        bounced=thrown_back(scene, audit(pose, QUICK_TEXELS), rows) - given,
        contrast=scene.visible_contrast,
        has_lamps=bool(scene.lamps),
    )


def _texels(part: Surface, chart: Chart, where: Floats) -> tuple[Integers, Integers]:
    """Row and column of the texels that points (n, 3) of a surface lie in: (n,) int each."""
    left, across, first, up = chart.place
    on = part.on_chart(part.to_square(where))
    rows, columns = (int(side) for side in chart.size)
    row = np.clip(np.round((on[:, 1] - first) / up), 0, rows - 1)
    column = np.clip(np.round((on[:, 0] - left) / across), 0, columns - 1)
    return row.astype(np.int64), column.astype(np.int64)
