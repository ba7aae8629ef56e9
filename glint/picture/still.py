"""One picture of a pose: the dome or the floor, lit."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glint.picture.tone import auto_exposure, to_picture
from glint.rig.light import LightMap, light
from glint.rig.pose import Pose

VIEWS = ("dome", "floor")


def luminance(surface: LightMap) -> NDArray[np.float32]:
    """Luminance of a diffuse surface, cd/m**2, linear RGB: (h, w, 3) float32; black off it."""
    lit = surface.lux + surface.ambient.astype(np.float32)
    value = lit * (surface.surface.reflectance / np.pi).astype(np.float32)
    return value * surface.inside[..., None]


def draw(pose: Pose, view: str = "dome", size: int = 1024, ev: float = 0.0) -> NDArray[np.uint8]:
    """A square picture of one surface: (size, size, 3) uint8, sRGB.

    view: "dome", as seen lying on one's back with +y up and +x to the left; or "floor", as seen
    from above. ev: stops brighter than the automatic exposure.
    """
    return picture_of(light(pose, size), view, ev)


def picture_of(maps: dict[str, LightMap], view: str = "dome", ev: float = 0.0) -> NDArray[np.uint8]:
    """The picture of one surface out of light maps that are there already; see `draw`."""
    if view not in VIEWS:
        raise ValueError(f"view must be one of {VIEWS}, not {view!r}")
    seen = luminance(maps[view])
    return to_picture(seen, auto_exposure(seen) * 2.0**ev)
