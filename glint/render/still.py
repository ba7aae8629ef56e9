"""One picture of a pose: the dome or the floor, lit."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from glint.errors import require_choice, require_kind, require_number
from glint.kernels.surfaces.equal_area import points
from glint.lighting.illumination import A_POSE, LightMap, coloured, in_a_row, light
from glint.render.canvas import Size, pixels_of, whole_size
from glint.render.tone.mapping import auto_exposure, to_picture
from glint.render.views import VIEWS
from glint.room.room import Room
from glint.scene.scene import Pose

MOST_STOPS = 20.0
"""Most stops brighter or darker than the automatic exposure."""

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


def draw(pose: Pose, view: str = "dome", size: Size = 1024, ev: float = 0.0) -> NDArray[np.uint8]:
    """A picture of a pose: (h, w, 3) uint8, sRGB.

    view: "dome", what is overhead as seen lying on one's back with +y up and +x to the left (a
    bell's roof, a hall's ceiling); "floor", as seen from above; or "eye", what somebody sees who
    stands where the scene's [eye] table says.
    size: pixels; width and height of an eye's view, of which one number is the height at 16 to
    9; of the others the width, and the height follows; or a name of `canvas.SIZES`. ev: stops
    brighter than the automatic exposure. Raises UsageError.
    """
    require_kind("pose", pose, Pose, A_POSE)
    require_choice("view", view, VIEWS)
    require_number("ev", ev, -MOST_STOPS, MOST_STOPS)
    size = pixels_of(size)
    if view == "eye":
        from glint.render.tone.eye_exposure import develop, eye_exposure

        seen = eye_luminance(pose, whole_size(view, size))
        return develop(seen, eye_exposure(seen) * 2.0**ev)
    name = pose.scene.room.seen_from(view).name
    maps = light(pose, size[0] if isinstance(size, tuple) else size, name)
    return picture_of(maps, view, ev, pose.scene.room)


def picture_of(
    maps: dict[str, LightMap], view: str = "dome", ev: float = 0.0, room: Room | None = None
) -> NDArray[np.uint8]:
    """The picture of one surface out of light maps that are there already; see `draw`.

    room: whose struts and openings are drawn; without it, "dome" is the first of the maps.
    """
    require_choice("view", view, [name for name in VIEWS if name != "eye"])
    seen = luminance(next(iter(maps.values())) if view == "dome" else maps[view], room)
    return to_picture(seen, auto_exposure(seen) * 2.0**ev)


def eye_luminance(pose: Pose, size: tuple[int, int]) -> NDArray[np.float32]:
    """Luminance that the eye sees, cd/m**2, linear RGB: (h, w, 3) float32. size: width, height."""
    from glint.render.eye.view import EyeView

    texels = min(max(1024, 2 * max(size)), 3072)
    scene = pose.scene
    texel_count = sum(math.prod(surface.size(texels)) for surface in scene.room.surfaces)
    key = ("maps of the eye", texel_count)
    with scene.cache.lent(key, lambda: np.zeros((texel_count, 3), np.float32)) as lux:
        return EyeView(scene, size, texels, 16, lux).still(pose)
