"""The frames of a loop: which moments each one gathers light from, and what it then shows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.lighting.illumination import LightMap, beams, lit
from glint.lighting.incremental import IncrementalLightMap
from glint.lighting.strings.maps import IncrementalStringMap
from glint.render.canvas import centred, side_of_map
from glint.render.still import luminance
from glint.render.tone.mapping import auto_exposure, to_picture
from glint.scene.period import Cycle
from glint.scene.scene import Scene

STREAK = 3.0
"""Most texels that a spot moves between two instants of one open shutter."""

MOST_INSTANTS = 16

Picture = NDArray[np.uint8]
Exposure = tuple[float, list[Fraction]]
"""A share of a frame's light, and the moments, s, that it is the mean of."""


class Film(NamedTuple):
    """A loop before it is a file.

    size: width and height, pixels. count: frames, that share out the cycle evenly, so the last is
    one step before the first. shutter: degrees of each frame's time for which it gathers light.
    stops: brighter than the automatic exposure.
    """

    scene: Scene
    view: str
    size: tuple[int, int]
    cycle: Cycle
    count: int
    shutter: float
    stops: float

    @property
    def step(self) -> Fraction:
        """Seconds from frame to frame."""
        return self.cycle.seconds / self.count

    @property
    def rate(self) -> Fraction:
        """Frames a second."""
        return self.count / self.cycle.seconds

    @property
    def faded(self) -> int:
        """How many frames at the beginning the end is faded into."""
        return round(self.cycle.fade / self.step)

    def exposures(self, number: int, texel: float) -> list[Exposure]:
        """What a frame is made of; texel: m.

        Where the join is faded, the first frames show what would have come after the last one as
        well, less and less of it: so the very first follows upon the last as any other does.
        """
        if number >= self.faded:
            return [(1.0, self._moments(number, texel))]
        share = number / self.faded
        later = (1.0 - share, self._moments(self.count + number, texel))
        return [later] if number == 0 else [later, (share, self._moments(number, texel))]

    def frames(self, numbers: range | None = None) -> Iterator[Picture]:
        """Eight-bit frames, (h, w, 3) uint8 each: all, or some that follow each other."""
        wanted = range(self.count) if numbers is None else numbers
        if self.view == "eye":
            # The kernels of the eye's view take other views a while to pass by.
            from glint.render.eye.frames import eye_frames

            return eye_frames(self.scene, self.size, self.count, self.exposures, self.stops, wanted)
        return _surface_frames(self, wanted)

    def _moments(self, number: int, texel: float) -> list[Fraction]:
        """Instants in the middle of equal shares of the time that the shutter is open, s."""
        instants = _instants(self.scene, float(self.step) * self.shutter / 360.0, texel)
        parts = [Fraction(2 * k + 1, 2 * instants) for k in range(instants)]
        return [(number + part * Fraction(self.shutter / 360.0)) * self.step for part in parts]


def _surface_frames(film: Film, numbers: range) -> Iterator[Picture]:
    """Frames of one surface, in the middle of a black canvas."""
    scene, side = film.scene, side_of_map(*film.size)
    surface, start = scene.room.seen_from(film.view), scene.at(seconds=0.0)
    strings = IncrementalStringMap(scene, surface, side) if scene.strings else None
    first = lit(start, beams(start)[0], side, surface.name, strings)[surface.name]
    exposure = auto_exposure(luminance(first, scene.room)) * 2.0**film.stops
    weight = exposure * first.surface.reflectance / np.pi
    paint = _paint(scene, first)
    running = IncrementalLightMap(scene, first.surface, side, first.ambient, strings)
    texel = math.sqrt(first.chart.texel_area)
    picture = np.zeros((*running.chart.size, 3), np.uint8)
    mixed = False
    for number in numbers:
        parts = film.exposures(number, texel)
        gathered, changed = _gathered(running, parts)
        # What was mixed may be anywhere.
        changed = np.ones_like(changed) if mixed or len(parts) > 1 else changed
        mixed = len(parts) > 1
        painted = gathered if paint is None else gathered * paint
        to_picture(painted, weight, picture, changed)
        shown = centred(picture, *film.size)
        yield shown.copy() if shown is picture else shown


def _gathered(running: IncrementalLightMap, parts: list[Exposure]) -> tuple[np.ndarray, np.ndarray]:
    """The light of a frame, lx, mixed as light mixes; and which leaves may have changed."""
    if len(parts) == 1:
        running.show(running.scene.poses(parts[0][1]))
        return running.lux, running.changed
    total = np.zeros_like(running.lux)
    for share, times in parts:
        running.show(running.scene.poses(times))
        total += np.float32(share) * running.lux
    return total, running.changed


def _paint(scene: Scene, first: LightMap) -> np.ndarray | None:
    """What struts and openings make of the fabric's reflectance: (h, w, 3) float32, or None."""
    surface = first.surface
    if scene.room.is_plain(surface):
        return None
    texel = math.sqrt(first.chart.texel_area)
    painted = scene.room.paint(surface, first.point, texel)
    return (painted / np.maximum(surface.reflectance, 1e-9)).astype(np.float32)


def _instants(scene: Scene, seconds: float, texel: float) -> int:
    """Instants that an open shutter is made of, so that a moving spot leaves an even streak."""
    moved = scene.fastest_spot * seconds / texel
    return min(max(math.ceil(moved / STREAK), 1), MOST_INSTANTS)
