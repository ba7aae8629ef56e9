"""The room as an eye's view knows it: its maps side by side, painted, and the light between."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.kernels.illuminance.radiosity import Patches, bounced, coarse_means, patches_of
from glint.kernels.surfaces.equal_area import Chart, points
from glint.kernels.surfaces.room_texture import RoomLight
from glint.room.charts import chart_of
from glint.room.room import Room
from glint.room.surface import Surface

PATCHES = 20
"""Patches across a surface, between which light bounces about."""


PAINTED = 1024
"""Most texels that struts and seams are drawn with for mirrors, which show them small, and for
what light bounces about; pixels that see the room itself ask for its paint anew."""


def room_light(room: Room, texels: int) -> RoomLight:
    """The room's maps side by side, painted, and still dark."""
    return lit_by(painted_room(room, texels))


def lit_by(painted: RoomLight, lux: NDArray[np.float32] | None = None) -> RoomLight:
    """A painted room with maps of its light, (t, 3) float32; without any it is dark."""
    return painted._replace(lux=np.zeros_like(painted.paint) if lux is None else lux)


def maps_in_a_row(light: RoomLight, every: NDArray[np.float32]) -> list[NDArray[np.float32]]:
    """Each surface's part of an array (t, 3) of all their texels: (h, w, 3) each, views of it."""
    found = []
    for start, (height, width) in zip(light.start, light.sizes, strict=True):
        found.append(every[start : start + height * width].reshape(height, width, 3))
    return found


def painted_room(room: Room, texels: int) -> RoomLight:
    """The same before there is any light: what depends on the room alone. Its `lux` is empty."""
    charts = [chart_of(surface, texels) for surface in room.surfaces]
    areas = [int(chart.size[0] * chart.size[1]) for chart in charts]
    paints = []
    for surface, chart in zip(room.surfaces, charts, strict=True):
        if room.is_plain(surface):
            paint = np.broadcast_to(surface.reflectance / math.pi, (*chart.size, 3))
        else:
            paint = _painted(room, surface, chart_of(surface, min(texels, PAINTED)))
            rows, columns = (
                np.arange(n) * m // n for n, m in zip(chart.size, paint.shape[:2], strict=True)
            )
            paint = paint[rows[:, None], columns]
        paints.append(paint.reshape(-1, 3).astype(np.float32))
    return RoomLight(
        np.array([chart.kind for chart in charts], np.int64),
        np.array([chart.form for chart in charts]),
        np.array([chart.place for chart in charts]),
        np.array([chart.size for chart in charts], np.int64),
        np.cumsum([0, *areas[:-1]]).astype(np.int64),
        np.zeros((0, 3), np.float32),
        np.zeros(3),
        np.concatenate(paints),
    )


def _painted(room: Room, surface: Surface, chart: Chart) -> np.ndarray:
    """What each texel sends back of its illuminance: (h, w, 3) float, 1/sr."""
    _, place = points(chart.kind, chart.size, chart.place, chart.form)
    return room.paint(surface, place, math.sqrt(chart.texel_area)) / math.pi


def patches_in(room: Room) -> Patches:
    """The patches of a room, between which light bounces about."""
    return patches_of(tuple(chart_of(surface, PATCHES) for surface in room.surfaces))


def glow_of(
    room: Room,
    patches: Patches,
    lux: list[np.ndarray],
    openings: Sequence[np.ndarray | None],
) -> tuple[Floats, np.ndarray]:
    """Light that bounces about, and the ambient, as direct light on the maps makes them.

    patches: of the room; lux: of each surface, (h, w, 3) float32, lx. openings: of each,
    (h, w) bool, where light leaves, or None. Returns what to add on each
    patch, (n, 3) float, lx, with the ambient, to be spread out over the maps, and what falls on
    things in the middle of the room, (3,) float, lx.
    """
    paint = np.concatenate(
        [
            np.broadcast_to(surface.reflectance, (int(inside.sum()), 3))
            for surface, inside in zip(room.surfaces, patches.inside, strict=True)
        ]
    )
    if any(one is not None for one in openings):
        nowhere = [np.zeros((*one.shape[:2], 1), np.float32) for one in lux]
        pairs = list(zip(lux, openings, nowhere, strict=True))
        lux = [one if hole is None else one * ~hole[..., None] for one, hole, _ in pairs]
        holes = [none if hole is None else hole[..., None] for _, hole, none in pairs]
        closed = np.clip(1.0 - coarse_means(patches, holes), 0.0, 1.0)
        # What falls on the closed part of a patch, and what the whole of it gives back.
        direct = coarse_means(patches, lux) / np.maximum(closed, 1e-6)
        paint = paint * closed
    else:
        direct = coarse_means(patches, lux)
    # The ambient is there before any lamp: its own bounces are in it already.
    soft = bounced(patches, direct, paint)
    sent = paint * (direct + soft) * patches.area[:, None]
    return soft + room.ambient, room.ambient + sent.sum(axis=0) / patches.area.sum()
