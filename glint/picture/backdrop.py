"""Which places of the room's light maps each pixel of a view sees, worked out once."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Floats, Integers
from glint.optics.backdrop import PARTS, Backdrop, by_blocks
from glint.optics.camera import Camera, rays
from glint.optics.land import land_all
from glint.optics.roomlight import RoomLight, texel_places, texels_about
from glint.optics.tone import BLOCK
from glint.room.space import Room

FINE = 4
"""Samples along the side of a pixel that sees more than one surface."""

AT_ONCE = 1 << 18
"""Rays that are followed at a time, to keep memory small."""


def backdrop_of(room: Room, view: Camera, light: RoomLight) -> Backdrop:
    """The taps of every pixel: one, or FINE**2 where surfaces meet."""
    width, height = (int(side) for side in view.size)
    ys, xs = np.divmod(np.arange(width * height), width)
    number, surface, column, row, weight = _taps(room, view, light, xs + 0.5, ys + 0.5)
    which = np.full((height + 2, width + 2), -1)
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
    for sample in range(FINE * FINE):
        down, right = divmod(sample, FINE)
        some = _taps(
            room,
            view,
            light,
            xs[edge] + (right + 0.5) / FINE,
            ys[edge] + (down + 0.5) / FINE,
        )
        parts.append((edge[some[0]], *some[1:4], some[4] / (FINE * FINE)))
    number, surface, column, row, weight = (
        np.concatenate(kind) for kind in zip(*parts, strict=True)
    )
    texel, part = texels_about(light, surface, column, row)
    number, texel, part, weight = _in_pairs(number, texel.astype(np.int64), part, weight)
    place = by_blocks(height, width)
    blocks = (-(-height // BLOCK), -(-width // BLOCK))
    number = place.ravel()[number]
    order = np.argsort(number, kind="stable")
    start = np.searchsorted(number[order], np.arange(blocks[0] * blocks[1] * BLOCK**2 + 1))
    return Backdrop(
        start.astype(np.int32),
        texel[order].astype(np.int32),
        np.round(part[order] * PARTS).astype(np.uint16),
        np.ascontiguousarray(weight[order], dtype=np.float32),
        np.zeros((height, width, 3), np.float32),
        np.zeros(blocks, np.bool_),
    )


def _in_pairs(number: Integers, texel: Integers, part: Floats, weight: Floats):
    """Taps of which the right texels follow the left ones: number, texel (t, 2), part, weight.

    At a rim, where left and right are one, the place moves to the next pair; where a map closes
    upon itself, its last and first column are a tap each.
    """
    left, right = texel[:, 0], texel[:, 1]
    rim, around = right == left, (right != left) & (right != left + 1)
    share = part[:, :1].copy()
    pair = texel[:, ::2] - (rim | around)[:, None]
    part = np.column_stack([np.where(rim | around, 1.0, part[:, 0]), part[:, 1]])
    first = np.where(around[:, None], weight * (1.0 - share), weight)
    again = np.column_stack([np.zeros(int(around.sum())), part[around, 1]])
    return (
        np.concatenate([number, number[around]]),
        np.concatenate([pair, texel[around, 1::2]]),
        np.concatenate([part, again]),
        np.concatenate([first, (weight * share)[around]]),
    )


def _taps(room: Room, view: Camera, light: RoomLight, xs: Floats, ys: Floats):
    """One tap a point of the picture that sees anything: number, surface, column, row, weight."""
    parts = []
    for first in range(0, max(len(xs), 1), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        ways = rays(view, xs[some], ys[some])
        seen = np.flatnonzero(np.any(ways != 0.0, axis=1))
        ways = ways[seen]
        eyes = np.broadcast_to(view.at, ways.shape)
        surface, place, chart = land_all(light.kinds, light.forms, eyes, ways)
        columns, rows = texel_places(light, surface, chart)
        distance = np.linalg.norm(place - view.at, axis=1)
        weight = np.zeros((len(seen), 3))
        for number, each in enumerate(room.surfaces):
            mine = np.flatnonzero(surface == number)
            # A pixel's side on the surface, were it seen straight on.
            blur = distance[mine] / view.focal
            weight[mine] = room.paint(each, place[mine], blur) / np.pi
        parts.append((seen + first, surface, columns, rows, weight))
    return tuple(np.concatenate(kind) for kind in zip(*parts, strict=True))
