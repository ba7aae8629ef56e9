"""A lamp as the judge knows it: a round disc, every point of which shines by the same far-field
candela distribution; and the photons that leave it, each with the lumens it stands for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from tests.judge.geometry import Target

ROUND_COLUMNS = 1 << 16  # knots over the chord when the beam is round
ROWS, COLUMNS = 361, 1 << 12  # knots over azimuth (whole degrees) and chord otherwise


@dataclass(frozen=True)
class Lamp:
    """position (3,) m; axis (3,), where the beam points; radius m of the disc.

    candela(gamma (n,) rad) -> (n,) cd, or with azimuthal=True candela(gamma, azimuth), azimuth from
    `across` (3,), anticlockwise for one who looks back along the axis into the lamp. reach: no
    light at all beyond this angle from the axis, rad (at most pi / 2: the disc has a dark back).
    """

    position: tuple[float, float, float]
    axis: tuple[float, float, float]
    radius: float
    candela: Callable[..., np.ndarray]
    azimuthal: bool = False
    across: tuple[float, float, float] | None = None
    reach: float = np.pi / 2

    def source(self) -> Source:
        """The lamp tabulated, ready to shine."""
        end = 2 * np.sin(self.reach / 2)
        if self.azimuthal:
            chord = np.linspace(0, end, COLUMNS)
            gamma, azimuth = np.meshgrid(
                2 * np.arcsin(chord / 2), np.linspace(0, 2 * np.pi, ROWS), copy=False
            )
            table = np.asarray(self.candela(gamma.ravel(), azimuth.ravel())).reshape(gamma.shape)
        else:
            chord = np.linspace(0, end, ROUND_COLUMNS)
            table = np.asarray(self.candela(2 * np.arcsin(chord / 2)), dtype=float)[None]
        if not (np.isfinite(table).all() and (table >= 0).all()):
            raise ValueError("candela must be finite and not negative")
        frame = _frame(np.asarray(self.axis, float), self.across)
        return Source(np.asarray(self.position, float), frame, self.radius, end, table)


def _frame(axis: np.ndarray, across: tuple[float, float, float] | None) -> np.ndarray:
    """Rows across, up, axis (3, 3): right-handed unit vectors."""
    axis = axis / np.linalg.norm(axis)
    helper = np.asarray(np.eye(3)[np.argmin(np.abs(axis))] if across is None else across, float)
    first = helper - axis * (helper @ axis)
    if not (length := np.linalg.norm(first)) > 1e-9:
        raise ValueError("across lies along the axis")
    first = first / length
    return np.array([first, np.cross(axis, first), axis])


class Photons(NamedTuple):
    """origin, direction (3, n) float32; weight (n,) float32: lumens if it were the only one."""

    origin: np.ndarray
    direction: np.ndarray
    weight: np.ndarray


@dataclass(frozen=True)
class Source:
    """A lamp tabulated over the chord c = 2 sin(gamma / 2), for which dOmega = c dc dazimuth.

    table (rows, columns) float cd, rows over azimuth 0 to 2 pi (one row: round beam).
    """

    position: np.ndarray
    frame: np.ndarray
    radius: float
    chord_end: float
    table: np.ndarray
    lumens: float = field(init=False)
    quantiles: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        mean = self.table[:-1].mean(0) if len(self.table) > 1 else self.table[0]
        chord = np.linspace(0, self.chord_end, len(mean))
        step = chord[1] - chord[0]
        # The integral of a straight line times c over each cell, exactly.
        cells = mean[:-1] * (2 * chord[:-1] + chord[1:]) + mean[1:] * (chord[:-1] + 2 * chord[1:])
        cells *= 2 * np.pi * step / 6
        cumulated = np.r_[0, np.cumsum(cells)]
        total = cumulated[-1]
        if not total > 0:
            raise ValueError("the lamp gives no light")
        shares = np.linspace(0, 1, ROUND_COLUMNS + 1)
        quantiles = np.interp(shares, cumulated / total, chord**2)
        # Light as faint as rounding still lies between the first and the last knot.
        quantiles[0], quantiles[-1] = 0.0, self.chord_end**2
        object.__setattr__(self, "lumens", float(total))
        object.__setattr__(self, "quantiles", quantiles)

    def candela(self, chord: np.ndarray, across: np.ndarray, up: np.ndarray) -> np.ndarray:
        """Candela (n,) float32 at the chord (n,); across, up: components (n,) for the azimuth."""
        columns = self.table.shape[1]
        place = chord * np.float32((columns - 1) / self.chord_end)
        column = np.minimum(place, columns - 2).astype(np.int32)
        part = np.minimum(place - column, 1)
        flat = self._flat
        if len(self.table) == 1:
            low = flat.take(column, mode="clip")
            value = low + part * (flat.take(column + 1, mode="clip") - low)
        else:
            turn = np.arctan2(up, across) * np.float32((ROWS - 1) / (2 * np.pi))
            turn += np.float32(ROWS - 1) * (turn < 0)
            row = np.minimum(turn, ROWS - 2).astype(np.int32)
            aside = turn - row
            cell = row * columns + column
            lower = flat[cell] * (1 - part) + flat[cell + 1] * part
            upper = flat[cell + columns] * (1 - part) + flat[cell + columns + 1] * part
            value = lower * (1 - aside) + upper * aside
        return np.where(chord <= np.float32(self.chord_end), value, np.float32(0))

    @cached_property
    def _flat(self) -> np.ndarray:
        return np.ascontiguousarray(self.table, dtype=np.float32).ravel()

    def _lens(self, draw: np.ndarray, origin: np.ndarray) -> np.ndarray:
        """Points (3, n) float32 uniformly over the disc, from draw (2, n), less the origin (3,)."""
        spread = np.float32(self.radius) * np.sqrt(draw[0])
        angle = np.float32(2 * np.pi) * draw[1]
        first, second = self.frame[:2].astype(np.float32)[:, :, None]
        middle = (self.position - origin).astype(np.float32)[:, None]
        return middle + first * (spread * np.cos(angle)) + second * (spread * np.sin(angle))

    def all_round(self, draw: np.ndarray, origin: np.ndarray) -> Photons:
        """The whole lamp, directions in proportion to the light. draw (4, n) float32 in 0..1."""
        start = self._lens(draw[:2], origin)
        place = draw[2] * np.float32(ROUND_COLUMNS)
        share = np.minimum(place, ROUND_COLUMNS - 1).astype(np.int32)
        low = self.quantiles[share]
        width = self.quantiles[share + 1] - low
        squared = low + (place - share) * width
        angle = np.float32(2 * np.pi) * draw[3]
        chord = np.sqrt(squared)
        sine = chord * np.sqrt(1 - squared / 4)
        across, up = sine * np.cos(angle), sine * np.sin(angle)
        local = np.stack([across, up, 1 - squared / 2])
        direction = (self.frame.T @ local).astype(np.float32)
        # The solid angle of one share is 2 pi width / 2, and each share is drawn equally often.
        weight = self.candela(chord.astype(np.float32), across, up) * (np.pi * width)
        return Photons(start, direction, (weight * ROUND_COLUMNS).astype(np.float32))

    def toward(self, discs: Discs, draw: np.ndarray, origin: np.ndarray) -> Photons:
        """Only light that may meet the targets, evenly over them. draw (4, n) float32 in 0..1."""
        start = self._lens(draw[:2], origin)
        chosen, first = discs.choose(draw[2])
        spread = np.sqrt(first)
        angle = np.float32(2 * np.pi) * draw[3]
        direction = discs.points(chosen, spread * np.cos(angle), spread * np.sin(angle)) - start
        direction /= np.sqrt(np.einsum("ij,ij->j", direction, direction))
        axis = self.frame[2].astype(np.float32)[:, None]
        apart = direction - axis
        chord = np.sqrt(np.einsum("ij,ij->j", apart, apart))
        across = up = chord
        if len(self.table) > 1:
            across, up = self.frame[:2].astype(np.float32) @ direction
        weight = self.candela(chord, across, up) / discs.density(chosen, start, direction)
        return Photons(start, direction, weight)


class Discs:
    """Discs through the targets' centres, facing the lamp, that hide the targets from every point
    of it. A point drawn evenly on a disc of area A, at distance L from the photon's start and seen
    at an angle t off the disc's normal, is a direction of density L^2 / (A cos t) per steradian.
    """

    def __init__(self, source: Source, targets: tuple[Target, ...], origin: np.ndarray) -> None:
        self.centres = np.array([target.centre for target in targets], dtype=float)
        apart = self.centres - source.position
        distance = np.linalg.norm(apart, axis=1)
        radius = np.array([target.radius for target in targets])
        clear = distance - source.radius
        if np.any(clear <= radius):
            raise ValueError("a target is too near to aim at: leave `aim` out")
        # Law of sines: a cone of half angle a, its axis t off the normal, reaches R / cos(a + t).
        lean = np.arcsin(radius / clear) + np.arcsin(source.radius / distance)
        if np.any(lean > 1.4):
            raise ValueError("a target is too near to aim at: leave `aim` out")
        self.radius = radius / np.cos(lean) * (1 + 1e-6)
        self.area = np.pi * self.radius**2
        frames = np.array([_frame(axis, None) for axis in apart])
        solid = self.area / distance**2
        self.share = solid / solid.sum()
        self.middles = (self.centres - origin).astype(np.float32)
        scaled = (
            frames * np.stack([self.radius, self.radius, np.ones_like(radius)], axis=1)[..., None]
        )
        self.frames = scaled.astype(np.float32)

    def choose(self, draw: np.ndarray) -> tuple[np.ndarray | None, np.ndarray]:
        """Which disc (n,) int (None: the only one), and what is left of the draw, in 0..1."""
        if len(self.share) == 1:
            return None, draw
        edges = np.r_[0, np.cumsum(self.share)]
        chosen = np.clip(np.searchsorted(edges, draw, side="right") - 1, 0, len(self.share) - 1)
        left = (draw - edges[chosen]) / self.share[chosen]
        return chosen, np.clip(left, 0, 1).astype(np.float32)

    def points(self, chosen: np.ndarray | None, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """Points (3, n) of the discs at x, y (n,) in units of their radius."""
        if chosen is None:
            first, second, _ = self.frames[0][:, :, None]
            return self.middles[0][:, None] + first * x + second * y
        return self.middles[chosen].T + self.frames[chosen, 0].T * x + self.frames[chosen, 1].T * y

    def density(
        self, chosen: np.ndarray | None, start: np.ndarray, direction: np.ndarray
    ) -> np.ndarray:
        """Directions drawn per steradian (n,) float32, from all the discs together."""
        total = np.zeros(start.shape[1], dtype=np.float32)
        for disc, (middle, frame) in enumerate(zip(self.middles, self.frames, strict=True)):
            cosine = frame[2] @ direction
            away = middle[:, None] - start
            with np.errstate(divide="ignore", invalid="ignore"):
                path = (frame[2] @ away) / cosine
                density = np.float32(self.share[disc] / self.area[disc]) * path**2 / cosine
            if chosen is not None:
                beside = path * direction - away
                inside = np.einsum("ij,ij->j", beside, beside) <= self.radius[disc] ** 2
                density = np.where((cosine > 0) & (inside | (chosen == disc)), density, 0)
            total += density
        return total
