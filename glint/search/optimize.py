"""The search: which of the free numbers make the best pattern."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glint.errors import GlintError, UsageError, require_kind
from glint.kernels.arrays import Floats
from glint.parallel.executors import Tell, Workers, at_work
from glint.scene.cache import SharedCache
from glint.scene.scene import Scene
from glint.schema.tables import SceneFile
from glint.search.evolution import evolve
from glint.search.fast_measures import Glance, glance
from glint.search.objective import broken, score
from glint.search.obstacles import at_its_limits, require_clearance
from glint.search.tally import Tally
from glint.search.variables import bounds_of, chosen, name_of, values_of

TRIES = 600
"""Placings that a search looks at."""

ACROSS = 13
"""Most placings along each side of the map of two numbers; few tries make it coarser."""

FEWEST = 12
"""Placings that a search needs at least, and PER_FREE more for each free number."""

PER_FREE = 3

FINE = 25
"""Values along each side of the map at which geometry is asked, which takes no look."""

PROBES = (-0.15, 0.15)
"""Steps, as shares of a number's range, by which is found how much it matters."""


@dataclass(frozen=True)
class Placing:
    """What a search found.

    names, start, best: of the free numbers, in the file's units; file: the scene with the best
    scores: of start and best; broken: limits that even the best breaks
    tried: placings looked at, never more than asked for; refused: those that geometry alone ruled
    out, without a look; limits: the bounds that the best meets, in words
    strongest: numbers of the two that matter most, or one where only one is free
    grid: their values, one list for each; landscape: (n,) or (n, n) float, scores with the others
    at their best; rows go with the second of the two; kinds: of the same shape, for each cell why
    it cannot be chosen, or "". The best is no worse than any cell.
    fine: middles of FINE even parts of the whole range of each, as grid has of a part of it
    ruled: (FINE,) or (FINE, FINE) str, what geometry alone says against those, or ""
    """

    file: SceneFile
    names: tuple[str, ...]
    start: tuple[float, ...]
    best: tuple[float, ...]
    scores: tuple[float, float]
    glances: tuple[Glance, Glance]
    broken: dict[str, float]
    tried: int
    refused: int
    limits: tuple[str, ...]
    strongest: tuple[int, ...]
    grid: tuple[Floats, ...]
    landscape: Floats
    kinds: NDArray[np.str_]
    fine: tuple[Floats, ...]
    ruled: NDArray[np.str_]


def place(
    scene: SceneFile | Scene,
    workers: Workers | None = None,
    tries: int = TRIES,
    tell: Tell = lambda done, total: None,
) -> Placing:
    """Vary what a scene leaves free for its goal.

    Differential evolution (Storn & Price 1997), polished by pattern search (Hooke & Jeeves 1961)
    before and after the map of the strongest numbers is drawn, with the seed of the goal: the same
    scene gives the same placing, on any number of workers. tries: placings looked at, all included;
    what geometry alone rules out takes no look. The start is one of them, so the best is never
    worse, but for a start that hangs too low over people. Raises UsageError where nothing is free
    or the tries are too few, SceneError where the start cannot be built, GlintError where it has
    no light.
    """
    require_kind("scene", scene, SceneFile | Scene, "a scene, as glint.load makes it")
    file = scene.source if isinstance(scene, Scene) else scene
    bounds, begin = bounds_of(file), values_of(file)
    fewest = FEWEST + PER_FREE * len(bounds)
    if tries < fewest:
        count = f"{len(bounds)} free number" + ("s" if len(bounds) != 1 else "")
        raise UsageError(f"tries: found {tries}; allowed: at least {fewest} for {count}")
    cache = SharedCache()
    Scene.of(file, cache)
    require_clearance(file, cache)
    start = glance(file)
    if start.problem:
        raise GlintError(start.problem)
    with at_work(workers or Workers()) as crew:
        tally = Tally(file, start, crew, tries, tell, cache)
        search = _Search(tally, bounds)
        probes = _probes(len(bounds))
        side = _side(tries - probes, len(bounds))
        kept = side ** min(len(bounds), 2) + probes
        spare = max((tries - kept) // 10, 2)
        evolve(tally, bounds, begin, until=tries - kept - 2 * spare)
        search.polish(range(len(bounds)), 0.1, until=tries - kept - spare)
        strongest = search.strongest()
        fine, ruled = search.ruled(strongest)
        grid, landscape, kinds = search.landscape(strongest, side, fine, ruled)
        search.polish(strongest, 0.5 / side, until=tries)
    best = tally.best
    if not tally.was_seen(best):
        raise GlintError(
            f"{file.path}: no placing was found in which the balls are inside the room and "
            f"clearance_m = {file.goal.clearance_m:g} above the floor: widen [[free]]"
        )
    found = chosen(file, best)
    seen = tally.glance_of(best)
    return Placing(
        file=found,
        names=tuple(name_of(free) for free in file.free),
        start=tuple(begin),
        best=tuple(best),
        scores=(score(file.goal, start, start), tally.score_of(best)),
        glances=(start, seen),
        broken=broken(file.goal, seen),
        tried=tally.tried,
        refused=tally.refused,
        limits=tuple(at_its_limits(file, best)),
        strongest=strongest,
        grid=grid,
        landscape=landscape,
        kinds=kinds,
        fine=fine,
        ruled=ruled,
    )


def _middles(low: float, high: float, number: int) -> Floats:
    """Middles of so many even parts of a range: (number,) float."""
    return low + (np.arange(number) + 0.5) / number * (high - low)


def _side(tries: int, free: int) -> int:
    """Cells along each side of the map, which takes a third of the tries at most."""
    across = tries // 4 if free == 1 else math.isqrt(tries // 3)
    return min(max(across, 2), ACROSS)


def _probes(free: int) -> int:
    """Placings that it takes to find the two strongest numbers."""
    return len(PROBES) * free if free > 2 else 0


class _Search:
    """What is done about the best placing so far."""

    def __init__(self, tally: Tally, bounds: list[tuple[float, float]]) -> None:
        self.tally = tally
        self.lows, self.highs = np.array(bounds).T

    def polish(self, numbers: Iterable[int], step: float, until: int) -> None:
        """Pattern search from the best: some numbers go a step to either side, a share of their
        range; where none of that is better, the step is halved. until: tries that it may use up."""
        numbers = list(numbers)
        while step >= 1e-3 and self.tally.tried < until:
            best = self.tally.best
            before = self.tally.score_of(best)
            around = [
                self._moved(best, {number: best[number] + sign * step * self._range(number)})
                for number in numbers
                for sign in (-1.0, 1.0)
            ]
            self.tally.scores(around, until)
            if self.tally.score_of(self.tally.best) <= before:
                step *= 0.5

    def strongest(self) -> tuple[int, ...]:
        """The one or two numbers whose steps from the best change the score most."""
        best, count = self.tally.best, len(self.lows)
        if count <= 2:
            return tuple(range(count))
        tried = [
            self._moved(best, {number: best[number] + part * self._range(number)})
            for number in range(count)
            for part in PROBES
        ]
        scores = np.array(self.tally.scores(tried)).reshape(count, len(PROBES))
        drop = -scores.min(axis=1)
        return tuple(sorted(np.argsort(-drop, kind="stable")[:2].tolist()))

    def ruled(self, strongest: tuple[int, ...]) -> tuple[tuple[Floats, ...], NDArray[np.str_]]:
        """Values over the whole ranges of the strongest numbers, and what geometry says against
        them with the others at their best."""
        fine = tuple(_middles(self.lows[n], self.highs[n], FINE) for n in strongest)
        found = [self.tally.ruled_out(placing) for placing in self._cells(strongest, fine)]
        return fine, np.array(found).reshape((FINE,) * len(fine))

    def landscape(
        self,
        strongest: tuple[int, ...],
        side: int,
        fine: tuple[Floats, ...],
        ruled: NDArray[np.str_],
    ) -> tuple[tuple[Floats, ...], Floats, NDArray[np.str_]]:
        """Values, scores and what is against them, over the strongest numbers with the others at
        their best. The map is of the part that geometry leaves: see `ruled`."""
        best, grid = self.tally.best, []
        for axis, (number, values) in enumerate(zip(strongest, fine, strict=True)):
            # Rows of the map, its first axis, go with the second number.
            allowed = ruled == "" if len(fine) == 1 else (ruled == "").any(axis=axis)
            half = 0.5 * self._range(number) / FINE
            left = [*(values[allowed] - half), *(values[allowed] + half), best[number]]
            grid.append(_middles(min(left), max(left), side))
        placings = self._cells(strongest, tuple(grid))
        shape = (side,) * len(grid)
        scores = np.array(self.tally.scores(placings)).reshape(shape)
        kinds = np.array([self.tally.against(placing) for placing in placings]).reshape(shape)
        return tuple(grid), scores, kinds

    def _cells(self, numbers: tuple[int, ...], grid: tuple[Floats, ...]) -> list[list[float]]:
        """The best with some numbers at all pairs of values, row by row."""
        cells = np.stack(np.meshgrid(*grid), axis=-1).reshape(-1, len(grid)).tolist()
        best = self.tally.best
        return [self._moved(best, dict(zip(numbers, cell, strict=True))) for cell in cells]

    def _range(self, number: int) -> float:
        return float(self.highs[number] - self.lows[number])

    def _moved(self, best: list[float], to: dict[int, float]) -> list[float]:
        """The best with other values of some numbers, within their bounds."""
        values = list(best)
        for number, value in to.items():
            values[number] = float(np.clip(value, self.lows[number], self.highs[number]))
        return values
