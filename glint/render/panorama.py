"""What is all around, from the middle of the floor, on an upright cylinder that is unrolled.

Upright lines stay upright, and a round wall comes out as it would be unrolled, to scale (a
central projection onto a cylinder). On a canvas that is less wide the way
round is cut into two or three bands, one above the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.kernels.camera.background import draw_backdrop
from glint.lighting.illumination import beams, lit
from glint.lighting.incremental import IncrementalLightMap
from glint.render.eye.background import Outlook, backdrop_of
from glint.render.eye.room_texture import room_light
from glint.render.map_frames import gathered
from glint.render.still import exposure_for
from glint.render.tone.mapping import to_picture
from glint.render.views.view import Exposures, Size
from glint.room.room import Room
from glint.scene.scene import Scene

EYES = 1.2
"""Height of the eyes, m, somebody on a chair; in low rooms half of the room's."""

WIDE = 4.0
"""Width over height of the whole way round."""

BELOW = 0.3
"""Share of the picture that lies below the eyes."""

GAP = 0.02
"""What stays black between two bands, as a share of the canvas's height."""

MOST_BANDS, WORTH_IT = 3, 1.25
"""Most bands, and how much larger one more must make the picture."""

FINENESS, LEAST, MOST = 0.6, 384, 1536
"""Texels of the light maps for each pixel around, and least and most width of them."""


class Bands(NamedTuple):
    """Where the bands lie on a canvas. around: pixels all the way round, in bands together."""

    count: int
    around: float
    left: float
    top: float
    step: float

    @property
    def focal(self) -> float:
        """Pixels a radian."""
        return self.around / (2.0 * math.pi)


def bands_of(size: Size) -> Bands:
    """As many bands as make the picture large."""
    width, height = size
    gap = GAP * height
    best = Bands(0, 0.0, 0.0, 0.0, 0.0)
    for count in range(1, MOST_BANDS + 1):
        around = min(count * width, (height - (count - 1) * gap) * WIDE / count)
        if best.count and around < WORTH_IT * best.around:
            continue
        step = around / WIDE + gap
        top = (height - count * step + gap) / 2.0
        best = Bands(count, around, (width - around / count) / 2.0, top, step)
    return best


def texels_for(size: Size) -> int:
    """Width of the light maps that a panorama of a size wants."""
    return min(max(round(FINENESS * bands_of(size).around), LEAST), MOST)


def ways(bands: Bands, xs: Floats, ys: Floats) -> Floats:
    """Unit directions (n, 3) of places of the canvas, pixels; 0 where there is no band."""
    wide, high = bands.around / bands.count, bands.around / WIDE
    number = np.floor((ys - bands.top) / bands.step)
    right, down = xs - bands.left, ys - bands.top - number * bands.step
    there = (number >= 0) & (number < bands.count) & (down < high) & (right >= 0) & (right < wide)
    azimuth = 1.5 * math.pi - (number * wide + right) / bands.focal
    up = ((1.0 - BELOW) * high - down) / bands.focal
    found = np.column_stack([np.cos(azimuth), np.sin(azimuth), up])
    return found / np.linalg.norm(found, axis=1, keepdims=True) * there[:, None]


class Panorama:
    """What is around in a room, from its light maps. size: width and height, pixels; texels: width
    of the maps."""

    def __init__(self, room: Room, size: Size, texels: int) -> None:
        bands = bands_of(size)
        at = np.array([0.0, 0.0, min(EYES, 0.5 * room.height)])
        self.light = room_light(room, texels)
        outlook = Outlook(at, bands.focal, size, lambda xs, ys: ways(bands, xs, ys))
        self.backdrop = backdrop_of(room, outlook, self.light)

    def luminance(self, lux: Sequence[np.ndarray]) -> NDArray[np.float32]:
        """Luminance, cd/m**2, linear RGB: (h, w, 3) float32; lux: of each surface, (h, w, 3), lx,
        of all light."""
        for start, one in zip(self.light.start, lux, strict=True):
            self.light.lux[start : start + one.shape[0] * one.shape[1]] = one.reshape(-1, 3)
        picture = np.zeros_like(self.backdrop.still)
        draw_backdrop(self.backdrop, self.light, np.ones_like(self.backdrop.things), picture)
        return picture


def panorama_frames(
    scene: Scene, size: Size, exposures: Exposures, stops: float, numbers: range
) -> Iterator[NDArray[np.uint8]]:
    """Frames of a loop; see `View.frames`."""
    texels, start = texels_for(size), scene.at(seconds=0.0)
    around = Panorama(scene.room, size, texels)
    maps = lit(start, beams(start)[0], texels)
    running = [
        IncrementalLightMap(scene, surface, texels, maps[surface.name].ambient)
        for surface in scene.room.surfaces
    ]
    texel = math.sqrt(min(one.chart.texel_area for one in running))
    exposure = exposure_for(maps, tuple(maps)) * 2.0**stops
    for number in numbers:
        yield to_picture(
            around.luminance(gathered(scene, running, exposures(number, texel))), exposure
        )
