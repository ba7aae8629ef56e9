"""Where landed photons are gathered: light maps on equal-area texels, and plain records.

A sink is handed every batch of landings (`add`), is copied empty for each process (`fresh`), and
adds up with its copies (`merge`). It counts photons thrown, since weights are lumens times photons.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tests.judge.room import DOME, FLOOR, Room


class Landing(NamedTuple):
    """A batch of photons that met the same number of mirrors and reached the room.

    point, direction (3, n) float32, world frame; weight (n,) float32; surface (n,) int8; chain
    (bounces, n) int32 tiles in the order met, or None where no sink asked.
    """

    point: np.ndarray
    direction: np.ndarray
    weight: np.ndarray
    surface: np.ndarray
    bounces: int
    chain: np.ndarray | None


class Sink:
    """least: photons that met fewer mirrors are left out (0: the spill counts too)."""

    wants_chain = False

    def __init__(self, least: int = 1) -> None:
        self.least = least
        self.photons = 0

    def add(self, landing: Landing) -> None:
        raise NotImplementedError

    def fresh(self) -> Sink:
        raise NotImplementedError

    def merge(self, other: Sink) -> None:
        self.photons += other.photons


class _Map(Sink):
    """A square of texels over one surface; `half` is half its side in metres of the map."""

    surface: int

    def __init__(self, room: Room, texels: int, half: float, least: int) -> None:
        super().__init__(least)
        self.room, self.texels, self.half = room, texels, half
        self.weight = np.zeros(texels * texels)

    @property
    def texel_area(self) -> float:
        """m2, the same for all texels."""
        return (2 * self.half / self.texels) ** 2

    def cells(self, point: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Row and column (n,) as plain fractions, from points (3, n) of the surface."""
        raise NotImplementedError

    def add(self, landing: Landing) -> None:
        here = np.flatnonzero(landing.surface == self.surface)
        row, column = self.cells(landing.point[:, here])
        last = self.texels - 1
        texel = np.clip(row, 0, last).astype(np.int64) * self.texels
        texel += np.clip(column, 0, last).astype(np.int64)
        np.add.at(self.weight, texel, landing.weight[here].astype(float))

    def merge(self, other: Sink) -> None:
        assert isinstance(other, _Map)
        super().merge(other)
        self.weight += other.weight

    def lux(self) -> np.ndarray:
        """Illuminance (texels, texels), lx: lumens landed on a texel over its area."""
        scale = 1 / (self.photons * self.texel_area)
        return self.weight.reshape(self.texels, self.texels) * scale


class DomeMap(_Map):
    """Lambert's azimuthal equal-area map of the dome about its apex, seen lying on one's back:
    row 0 at +y, column 0 at +x. The square's inscribed circle is the rim.

    Source: Snyder, Map Projections: a Working Manual, USGS PP 1395 (1987), eq. 24-2 with the pole
    as centre: k' = sqrt(2 / (1 + cos c)), radius on the map R k' sin c.
    """

    surface = DOME

    def __init__(self, room: Room, texels: int, least: int = 1) -> None:
        cosine = (room.wall - room.sphere_height) / room.sphere_radius
        sine = np.sqrt(1 - cosine**2)
        rim = room.sphere_radius * np.sqrt(2 / (1 + cosine)) * sine
        super().__init__(room, texels, float(rim), least)

    def cells(self, point: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        cosine = (point[2] - self.room.sphere_height) / self.room.sphere_radius
        stretch = np.sqrt(2 / (1 + cosine))
        scale = self.texels / (2 * self.half)
        return (self.half - stretch * point[1]) * scale, (self.half - stretch * point[0]) * scale

    def fresh(self) -> DomeMap:
        return DomeMap(self.room, self.texels, self.least)


class FloorMap(_Map):
    """The floor seen from above: row 0 at +y, column 0 at -x; the square about the disc."""

    surface = FLOOR

    def __init__(self, room: Room, texels: int, least: int = 1) -> None:
        super().__init__(room, texels, room.radius, least)

    def cells(self, point: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        scale = self.texels / (2 * self.half)
        return (self.half - point[1]) * scale, (point[0] + self.half) * scale

    def fresh(self) -> FloorMap:
        return FloorMap(self.room, self.texels, self.least)


@dataclass(frozen=True)
class Landed:
    """Photons that reached the room: position, direction (n, 3); lumens, bounces, surface (n,);
    chain (n, most bounces) int, tiles in the order met, -1 after the last."""

    position: np.ndarray
    direction: np.ndarray
    lumens: np.ndarray
    bounces: np.ndarray
    surface: np.ndarray
    chain: np.ndarray

    @property
    def last_tile(self) -> np.ndarray:
        """(n,) int, -1 for spill."""
        met = np.maximum(self.bounces - 1, 0)[:, None]
        last = np.take_along_axis(self.chain, met, axis=1)[:, 0]
        return np.where(self.bounces > 0, last, -1)


class Record(Sink):
    """Keeps every landing: for small runs."""

    wants_chain = True

    def __init__(self, least: int = 1) -> None:
        super().__init__(least)
        self.landings: list[Landing] = []

    def add(self, landing: Landing) -> None:
        self.landings.append(landing)

    def fresh(self) -> Record:
        return Record(self.least)

    def merge(self, other: Sink) -> None:
        assert isinstance(other, Record)
        super().merge(other)
        self.landings += other.landings

    def landed(self) -> Landed:
        """All of them, weights made lumens."""
        kept = self.landings
        most = max((each.bounces for each in kept), default=0)
        chains = [np.full((0, max(most, 1)), -1)]
        for each in kept:
            chain = np.full((len(each.weight), max(most, 1)), -1)
            if each.chain is not None:
                chain[:, : each.bounces] = each.chain.T
            chains.append(chain)
        none = np.zeros((3, 0), dtype=np.float32)
        return Landed(
            position=np.hstack([none, *(each.point for each in kept)]).T.astype(float),
            direction=np.hstack([none, *(each.direction for each in kept)]).T.astype(float),
            lumens=np.hstack([none[0], *(each.weight for each in kept)]) / max(self.photons, 1),
            bounces=np.repeat(
                np.array([each.bounces for each in kept], dtype=int),
                np.array([len(each.weight) for each in kept], dtype=int),
            ),
            surface=np.hstack([np.zeros(0, np.int8), *(each.surface for each in kept)]),
            chain=np.concatenate(chains),
        )
