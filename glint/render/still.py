"""One picture of a pose."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from glint.errors import require_kind, require_number
from glint.kernels.surfaces.equal_area import Chart, points
from glint.lighting.illumination import A_POSE, LightMap, coloured, in_a_row, sampled
from glint.render.canvas import Size, pixels_of
from glint.render.tone.mapping import VISIBLE, auto_exposure, strongest_channel, to_picture
from glint.render.views import view_of
from glint.room.room import Room
from glint.scene.scene import Pose

MOST_STOPS = 20.0
"""Most stops brighter or darker than the automatic exposure."""

TRAILS = 5.0
"""Percent of what trails light that may be brighter than the shoulder."""

BAND = 128
"""Rows of a map that are painted at once."""


def luminance(surface: LightMap, room: Room | None = None) -> NDArray[np.float32]:
    """Luminance of a diffuse surface, cd/m**2, linear RGB: (h, w, 3) float32; black off it.

    room: whose struts and openings are drawn too.
    """
    seen = surface.lux + coloured(surface.inside, surface.ambient)
    if room is None or room.is_plain(surface.surface):
        rows = seen.reshape(len(seen), -1)
        rows *= in_a_row(surface.surface.reflectance / np.pi, seen.shape[1])
        return seen
    texel = float(np.sqrt(surface.chart.texel_area))
    # Band by band, as points weigh more than the light on them.
    for first in range(0, len(seen), BAND):
        band = seen[first : first + BAND]
        chart = surface.chart.rows(first, first + len(band))
        place = points(chart.kind, chart.size, chart.place, chart.form)[1]
        band *= (room.paint(surface.surface, place, texel) / np.pi).astype(np.float32)
    return seen


def draw(
    pose: Pose, view: str = "dome", size: Size | None = None, ev: float = 0.0
) -> NDArray[np.uint8]:
    """A picture of a pose: (h, w, 3) uint8, sRGB.

    view: "dome", what is overhead as seen lying on one's back with +y up and +x to the left (a
    bell's roof, a hall's ceiling); "floor", as seen from above; "wall", all around from the middle
    of the floor; or "eye", what somebody sees who stands where the scene's [eye] table says.
    size: width and height, pixels, or a name of `views.SIZES`; one number is the height, which
    makes an eye's view 16 to 9 and a panorama 4 to 1, and of the others the width of the map, whose
    height follows. ev: stops brighter than the automatic exposure. Raises UsageError.
    """
    require_kind("pose", pose, Pose, A_POSE)
    require_number("ev", ev, -MOST_STOPS, MOST_STOPS)
    return view_of(view).still(pose, None if size is None else pixels_of(size), ev)


def shown(
    maps: Mapping[str, LightMap], names: Sequence[str], ev: float = 0.0, room: Room | None = None
) -> NDArray[np.uint8]:
    """The picture of some surfaces on one chart, out of light maps; names: the outermost first.

    room: whose struts and openings are drawn.
    """
    return to_picture(seen_together(maps, names, room), exposure_for(maps, names) * 2.0**ev)


def exposure_for(maps: Mapping[str, LightMap], names: Sequence[str]) -> float:
    """The exposure that suits what mirrors and strings throw on some surfaces, beside the ambient.

    Light that comes straight from a lamp only counts where there is nothing else. Without any
    ambient, as for trails, the brightest TRAILS percent of what is lit go over the shoulder.
    """
    every = [maps[name] for name in names]
    if any((one.pattern > (VISIBLE - 1.0) * one.ambient.max()).any() for one in every):
        samples = [_sample(one, one.pattern) for one in every]
    else:
        samples = [_sample(one, sampled(one.lux)) for one in every]
    light = np.concatenate(samples)
    if any(one.ambient.any() for one in every):
        return auto_exposure(light)
    strongest = strongest_channel(light)
    lit = strongest[strongest > 0.0]
    return 1.0 / float(np.percentile(lit, 100.0 - TRAILS)) if len(lit) else 1.0


def _sample(surface: LightMap, lux: np.ndarray) -> np.ndarray:
    """Luminance of samples on a surface, cd/m**2: (n, 3)."""
    return (lux + surface.ambient)[sampled(surface.inside)] * surface.surface.reflectance / np.pi


def seen_together(
    maps: Mapping[str, LightMap], names: Sequence[str], room: Room | None = None
) -> NDArray[np.float32]:
    """Luminance of some surfaces on one chart, cd/m**2; see `shown`."""
    every = [maps[name] for name in names]
    return together([luminance(one, room) for one in every], [one.chart for one in every])


def together(parts: Sequence[np.ndarray], charts: Sequence[Chart]) -> np.ndarray:
    """Maps (h, w, 3) on the chart of the first one, the outermost, whose hole the others fill.

    Their texels are as large as its own, or some whole number of them are, about the same middle
    (see `Revolution.span`), so nothing is read between texels.
    """
    outer = parts[0]
    for part, chart in zip(parts[1:], charts[1:], strict=True):
        fine = round(abs(float(charts[0].place[1] / chart.place[1])))
        side = len(part) // fine
        first = (len(outer) - side) // 2
        across = chart.place[0] + np.arange(len(part)) * chart.place[1]
        inside = across[:, None] ** 2 + across**2 <= chart.form[4] ** 2
        blocks = (side, fine, side, fine)
        count = inside.reshape(blocks).sum(axis=(1, 3), dtype=np.float32)
        light = (part * inside[..., None]).reshape(*blocks, 3).sum(axis=(1, 3))
        middle = charts[0].place[0] + (first + np.arange(side)) * charts[0].place[1]
        hole = middle[:, None] ** 2 + middle**2 < charts[0].form[6] ** 2
        square = outer[first : first + side, first : first + side]
        square[hole] = (light / np.maximum(count, 1.0)[..., None])[hole]
    return outer


def eye_luminance(pose: Pose, size: tuple[int, int], texels: int = 1024) -> NDArray[np.float32]:
    """Luminance that the eye sees, cd/m**2, linear RGB: (h, w, 3) float32. size: width, height;
    texels: width of the light maps."""
    from glint.render.eye.view import EyeView

    scene = pose.scene
    texel_count = sum(math.prod(surface.size(texels)) for surface in scene.room.surfaces)
    key = ("maps of the eye", texel_count)
    with scene.cache.lent(key, lambda: np.zeros((texel_count, 3), np.float32)) as lux:
        return EyeView(scene, size, texels, 16, lux).still(pose)
