"""Which places of the room's light maps each pixel of a view sees, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.camera.background import Backdrop, arranged, by_blocks
from glint.kernels.camera.projection import Camera, rays
from glint.kernels.image.tone_mapping import BLOCK
from glint.kernels.surfaces.ray_cast import cast_all
from glint.kernels.surfaces.room_texture import RoomLight, texel_places
from glint.parallel.prefetch import ahead
from glint.room.room import Room

FINE = 4
"""Samples along the side of a pixel that sees more than one surface."""

AT_ONCE = 1 << 16
"""Rays that are followed at a time: each processor has some, and memory stays small."""


class Outlook(NamedTuple):
    """Where one looks from and how, but for a lens.

    at: (3,) float, m. focal: pixels a radian. size: width and height, pixels. ways: unit directions
    (n, 3) of places of the picture, (n,) each; 0 where nothing is seen
    """

    at: Floats
    focal: float
    size: tuple[int, int]
    ways: Callable[[Floats, Floats], Floats]


def backdrop_of(room: Room, view: Camera | Outlook, light: RoomLight) -> Backdrop:
    """The taps of every pixel: one, or FINE**2 where surfaces meet."""
    width, height = (int(side) for side in view.size)
    ys, xs = np.divmod(np.arange(width * height), width)
    number, surface, column, row, weight = _taps(room, view, light, xs + 0.5, ys + 0.5)
    which = np.full((height + 2, width + 2), -1, np.int8)
    which[1:-1, 1:-1].flat[number] = surface
    which[[0, -1]] = which[[1, -2]]
    which[:, [0, -1]] = which[:, [1, -2]]
    middle = which[1:-1, 1:-1]
    mixed = np.zeros(middle.shape, bool)
    for down in range(3):
        for right in range(3):
            mixed |= which[down : down + height, right : right + width] != middle
    edge = np.flatnonzero(mixed)
    kept = ~mixed.ravel()[number]
    parts: list[tuple] = [(number[kept], surface[kept], column[kept], row[kept], weight[kept])]

    def finer(sample: int) -> tuple:
        down, right = divmod(sample, FINE)
        x, y = xs[edge] + (right + 0.5) / FINE, ys[edge] + (down + 0.5) / FINE
        some = _taps(room, view, light, x, y)
        return (edge[some[0]], *some[1:4], some[4] / (FINE * FINE))

    parts.extend(ahead(finer, range(FINE * FINE)))
    number, surface, column, row, weight = (
        np.concatenate(kind) for kind in zip(*parts, strict=True)
    )
    place, blocks = by_blocks(height, width).ravel(), (-(-height // BLOCK), -(-width // BLOCK))
    count = blocks[0] * blocks[1]
    start, texel, part, told = arranged(light, number, surface, column, row, weight, place, count)
    still = np.zeros((height, width, 3), np.float32)
    return Backdrop(start, texel, part, told, still, np.zeros(blocks, np.bool_))


def _taps(room: Room, view: Camera | Outlook, light: RoomLight, xs: Floats, ys: Floats):
    """One tap a point of the picture that sees anything: number, surface, column, row, weight."""

    def some(first: int) -> tuple:
        x, y = xs[first : first + AT_ONCE], ys[first : first + AT_ONCE]
        ways = view.ways(x, y) if isinstance(view, Outlook) else rays(view, x, y)
        seen = np.flatnonzero(np.any(ways != 0.0, axis=1))
        ways = ways[seen]
        eyes = np.broadcast_to(view.at, ways.shape)
        surface, place, chart = cast_all(light.kinds, light.forms, eyes, ways)
        columns, rows = texel_places(light, surface, chart)
        distance = np.linalg.norm(place - view.at, axis=1)
        weight = np.zeros((len(seen), 3))
        for number, each in enumerate(room.surfaces):
            mine = np.flatnonzero(surface == number)
            # A pixel's side on the surface, were it seen straight on.
            blur = distance[mine] / view.focal
            weight[mine] = room.paint(each, place[mine], blur) / np.pi
        return seen + first, surface, columns, rows, weight

    parts = ahead(some, range(0, max(len(xs), 1), AT_ONCE))
    return tuple(np.concatenate(kind) for kind in zip(*parts, strict=True))
