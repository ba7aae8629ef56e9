"""Where a surface of the room carries nothing: light that falls there leaves, and is lost."""

from __future__ import annotations

import numpy as np

from glint.kernels.arrays import Flags
from glint.kernels.surfaces.equal_area import points
from glint.lighting.prepared import lighting_of
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.room.surfaces.cap import Cap
from glint.scene.cache import Same
from glint.scene.scene import Scene

BAND = 128
"""Rows of a chart that are looked at together, as points take more room than what is found."""


def open_texels(scene: Scene, surface: Surface, texels: int) -> Flags | None:
    """Texels of a surface whose middle lies where it carries nothing: (h, w) bool; None if there
    are none.

    In a frame's open triangle that is what its struts leave free.
    """
    if surface.open <= 0.0:
        return None
    if surface.open >= 1.0:
        return lighting_of(scene).blocks(surface, texels).inside
    frame = scene.room.frame
    key = ("open texels", Same(surface), frame, texels)
    return scene.cache.get(key, lambda: _between_struts(scene, surface, texels))


def _between_struts(scene: Scene, cap: Surface, texels: int) -> Flags:
    assert isinstance(cap, Cap)
    assert scene.room.frame is not None
    chart = chart_of(cap, texels)
    found = np.zeros(chart.size, np.bool_)
    for first in range(0, chart.size[0], BAND):
        rows = chart.rows(first, min(first + BAND, chart.size[0]))
        place = points(rows.kind, rows.size, rows.place, rows.form)[1]
        found[first : first + BAND] = scene.room.frame.is_open(place, cap)
    return found & lighting_of(scene).blocks(cap, texels).inside


def darken(lux: np.ndarray, openings: Flags | None) -> None:
    """Take the light off a map (h, w, 3), in place, where it leaves the room."""
    if openings is not None:
        lux[openings] = 0.0
