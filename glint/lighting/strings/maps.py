"""The light of strings on the room's surfaces: of one pose, and of pose after pose.

A single pose is computed beam by beam. In a loop, where the ball hangs on the axis of a surface
of revolution, the pattern on it turns as a whole: it is computed once, as fine as its softness
wants, and read off turned. A twinkle is a sine, so a sum of three such maps, weighted anew for each
moment, is exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.cavity.aperture_glow import add_glow
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.surfaces.equal_area import Chart
from glint.kernels.surfaces.rotating_map import add_turned
from glint.kernels.surfaces.texel_tree import TexelTree
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.cavity import LedCavity
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.scene import Pose, Scene

ACROSS = 4.0
"""Texels of a kept map across the image that the smallest opening makes of an LED, about."""

COARSEST, FINEST = 0.4, 1.5
"""Least and most texels of a kept map along the side of one that is shown."""

MARGIN = 4
"""Texels by which a kept map goes over the rim, for reading between its texels."""


EVEN = 0.02
"""While a shutter is open, lights may change by this share of the steady one and count as even."""


class SteadyMaps(NamedTuple):
    """Maps of one ball's strings on one surface, at angle 0.

    maps: (m, H, W, 3) float32, lx, one a wave; chart: theirs
    """

    maps: np.ndarray
    chart: Chart


def add_strings(pose: Pose, chart: Chart, lux: np.ndarray, blocks: TexelTree | None = None) -> None:
    """Add all that strings send to a surface, straight and as glow, to a map.

    lux: (h, w, 3) float32, linear RGB, lx, of the chart's size; changed in place.
    """
    for inside in lighting_of(pose.scene).cavities:
        turn, centre = pose.rotations[inside.ball], pose.centres[inside.ball]
        add_inside(inside, turn, centre, inside.brightness(pose.seconds), chart, lux, blocks)


def add_inside(
    inside: LedCavity,
    turn: Floats,
    centre: Floats,
    brightness: Floats,
    chart: Chart,
    lux: np.ndarray,
    blocks: TexelTree | None = None,
) -> None:
    """Add one ball's strings to a map.

    turn: (3, 3) float, from the ball's frame to the room's; centre: (3,) float, m; brightness: (n,)
    float, of each LED, of either sign
    """
    beams, lamps = inside.placed(turn, centre, brightness)
    add_beams(beams, lamps, chart, lux, blocks)
    add_glow(inside.aperture_glow, centre, turn, inside.radiance(brightness), chart, lux)


class IncrementalStringMap:
    """The strings' light on one surface, pose after pose."""

    def __init__(self, scene: Scene, surface: Surface, texels: int, twinkling: bool = True) -> None:
        """twinkling: if not, what twinkles shines steadily at its mean."""
        self.scene, self.twinkling = scene, twinkling
        self.chart = chart_of(surface, texels)
        self.blocks = lighting_of(scene).blocks(surface, texels)
        self._streaks: dict[int, tuple[Floats, np.ndarray]] = {}
        self._cavities = lighting_of(scene).cavities
        self._kept = [_kept(inside, surface, texels, twinkling) for inside in self._cavities]

    @property
    def is_kept(self) -> bool:
        """Whether all patterns on the surface turn as a whole."""
        return all(kept is not None for kept in self._kept)

    def add(self, poses: Sequence[Pose], lux: np.ndarray, scale: float = 1.0) -> None:
        """Add the mean over some poses, times a scale, to a map, (h, w, 3) float32, lx."""
        for number, (inside, kept) in enumerate(zip(self._cavities, self._kept, strict=True)):
            if kept is None:
                waves = _waves(inside, self.twinkling)
                for pose in poses:
                    share = scale / len(poses) * self._weights(inside, pose) @ waves
                    turn, centre = pose.rotations[inside.ball], pose.centres[inside.ball]
                    add_inside(inside, turn, centre, share, self.chart, lux, self.blocks)
                continue
            angles = np.array([pose.angles[inside.ball] for pose in poses])
            weights = np.array([self._weights(inside, pose) for pose in poses])
            weights *= scale / len(poses)
            maps = kept.maps
            if len(poses) > 1 and np.ptp(weights, axis=0).max() <= EVEN * abs(weights[0, 0]):
                maps = self._streaked(number, angles - angles[0])
                angles, weights = angles[:1], weights.sum(axis=0)[None]
            add_turned(maps, kept.chart, angles, weights, self.chart, lux)

    def _streaked(self, number: int, steps: Floats) -> np.ndarray:
        """A ball's kept maps, each the mean of itself turned by some angles, rad. A ball that turns
        steadily turns by the same ones in every frame."""
        known, maps = self._streaks.get(number, (np.zeros(0), np.zeros(0)))
        if len(known) == len(steps) and np.abs(known - steps).max() < 1e-9:
            return maps
        kept = self._kept[number]
        assert kept is not None
        maps = np.zeros_like(kept.maps)
        share = np.full((len(steps), 1), 1.0 / len(steps))
        for one, streaked in zip(kept.maps, maps, strict=True):
            add_turned(one[None], kept.chart, steps, share, kept.chart, streaked)
        self._streaks[number] = (steps, maps)
        return maps

    def _weights(self, inside: LedCavity, pose: Pose) -> Floats:
        """What each kept map counts in a pose, (m,) float."""
        return wave_weights(inside, pose.seconds) if self.twinkling else np.ones(1)


def wave_weights(inside: LedCavity, seconds: float) -> Floats:
    """What each map of `wave_maps` counts at a moment, (m,) float."""
    turns = [2.0 * math.pi * seconds / period for period in _periods(inside)]
    return np.array([1.0, *(f(turn) for turn in turns for f in (math.cos, math.sin))])


def wave_maps(
    inside: LedCavity, turn: Floats, centre: Floats, chart: Chart, twinkling: bool = True
) -> np.ndarray:
    """One ball's strings on a surface, the ball at rest: (m, h, w, 3) float32, lx, a map for what
    is steady, and two for each period of a twinkle; see `wave_weights`.

    turn: (3, 3) float, from the ball's frame to the room's; centre: (3,) float, m
    """
    waves = _waves(inside, twinkling)
    maps = np.zeros((len(waves), *chart.size, 3), np.float32)
    for wave, lux in zip(waves, maps, strict=True):
        add_inside(inside, turn, centre, wave, chart, lux)
    return maps


def turns_with(inside: LedCavity, surface: Surface) -> bool:
    """Whether the strings' pattern on a surface turns as a whole with their ball."""
    return not inside.swings and surface.turns_about(inside.centre[:2])


def _kept(inside: LedCavity, surface: Surface, texels: int, twinkling: bool) -> SteadyMaps | None:
    if not turns_with(inside, surface):
        return None
    chart = chart_of(surface, _texels(inside, surface, texels))
    if not chart.is_wall:
        form = chart.form.copy()
        form[4] *= 1.0 + MARGIN / texels
        chart = chart._replace(form=form)
    maps = wave_maps(inside, np.eye(3), inside.centre, chart, twinkling)
    return SteadyMaps(maps, chart)


def _texels(inside: LedCavity, surface: Surface, texels: int) -> int:
    """Width of a map fine enough for the light of most beams: the image of an LED of radius r
    through an opening at a is 2 r b / a wide at b behind the opening."""
    beams, lamps = inside.beams, inside.lamps
    if not len(beams.lamp):
        return texels
    last = np.minimum(np.arange(beams.window.shape[1]), beams.sides[:, None] - 1)
    window = np.take_along_axis(beams.window, last[..., None], axis=1)
    away = np.linalg.norm(window.mean(axis=1) - beams.apex, axis=1)
    images = 2.0 * lamps.lens_radius[beams.lamp] * np.maximum(inside.near - away, away) / away
    texel = math.sqrt(chart_of(surface, texels).texel_area)
    wanted = ACROSS * texel / float(np.percentile(images, 10.0))
    return max(math.ceil(texels * min(max(wanted, COARSEST), FINEST)), 2)


def _periods(inside: LedCavity) -> list[float]:
    return sorted({string.period for string in inside.strings if string.period})


def _waves(inside: LedCavity, twinkling: bool = True) -> Floats:
    """Brightness of each LED in each kept map, (m, n) float: what is steady, and for each period
    of a twinkle the parts that go with its cosine and its sine."""
    counts = [len(string.points) for string in inside.strings]
    periods = np.repeat([string.period for string in inside.strings], counts)
    phases = np.concatenate([string.phase for string in inside.strings])
    waves = [np.where(periods > 0.0, 0.5, 1.0)]
    for period in _periods(inside) if twinkling else []:
        mine = 0.5 * (periods == period)
        waves += [mine * np.cos(phases), -mine * np.sin(phases)]
    return np.array(waves)


class Shining(NamedTuple):
    """The openings of all balls with strings as the eye sees them, in the room's frame.

    corners: (o, V, 3) float, m, anticlockwise seen from outside; sides: (o,) int
    radiance: (o, 3) float, cd/m**2, linear RGB, the same from every side
    """

    corners: Floats
    sides: np.ndarray
    radiance: Floats


def shining(pose: Pose) -> list[Shining]:
    """The glowing openings of each ball with strings. What hides them is not taken off."""
    found = []
    for inside in lighting_of(pose.scene).cavities:
        turn, centre = pose.rotations[inside.ball], pose.centres[inside.ball]
        value = inside.radiance(inside.brightness(pose.seconds))
        openings = inside.openings
        number = len(openings.sides)
        corners = openings.corners @ turn.T + centre
        found.append(Shining(corners, openings.sides, np.broadcast_to(value, (number, 3))))
    return found
