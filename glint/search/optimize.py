"""The search: which of the free numbers make the best pattern."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from glint.errors import GlintError, require_kind
from glint.kernels.arrays import Floats
from glint.parallel.executors import Tell, WorkerPool, Workers, at_work
from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.tables import SceneFile
from glint.search.fast_measures import Glance, glance
from glint.search.objective import broken, score
from glint.search.variables import bounds_of, chosen, name_of, values_of

TRIES = 600
"""Placings that a search tries."""

PER_NUMBER = 8
"""Placings of one generation, for each free number."""

ACROSS = 13
"""Placings along each side of the picture of two numbers."""


@dataclass(frozen=True)
class Placing:
    """What a search found.

    names, start, best: of the free numbers, in the file's units; file: the scene with the best
    scores: of start and best; tried: placings looked at; broken: limits that even the best breaks
    strongest: numbers of the two that matter most, or one where only one is free
    grid: their values, one list for each; landscape: (ACROSS,) or (ACROSS, ACROSS) float, scores
    with the others at their best; rows go with the second of the two
    """

    file: SceneFile
    names: tuple[str, ...]
    start: tuple[float, ...]
    best: tuple[float, ...]
    scores: tuple[float, float]
    glances: tuple[Glance, Glance]
    broken: dict[str, float]
    tried: int
    strongest: tuple[int, ...]
    grid: tuple[Floats, ...]
    landscape: Floats


def place(
    scene: SceneFile | Scene,
    workers: Workers | None = None,
    tries: int = TRIES,
    tell: Tell = lambda done, total: None,
) -> Placing:
    """Vary what a scene leaves free for its goal.

    Differential evolution (Storn & Price 1997), with the seed of the goal: the same scene gives
    the same placing, on any number of workers. The start is one of the first generation, so the
    best is never worse. Raises UsageError where nothing is free, SceneError where the start cannot
    be built, GlintError where it has no light.
    """
    require_kind("scene", scene, SceneFile | Scene, "a scene, as glint.load makes it")
    file = scene.source if isinstance(scene, Scene) else scene
    bounds, begin = bounds_of(file), values_of(file)
    build(file)
    start = glance(file)
    if start.problem:
        raise GlintError(start.problem)
    with at_work(workers or Workers()) as crew:
        search = _Search(file, start, crew, tries, tell)
        best = search.evolve(bounds, begin)
        strongest = search.strongest(best, bounds)
        grid = tuple(np.linspace(*bounds[number], ACROSS) for number in strongest)
        landscape = search.landscape(best, strongest, grid)
    found = chosen(file, best)
    seen = glance(found)
    return Placing(
        file=found,
        names=tuple(name_of(free) for free in file.free),
        start=tuple(begin),
        best=tuple(best),
        scores=(score(file.goal, start, start), score(file.goal, seen, start)),
        glances=(start, seen),
        broken=broken(file.goal, seen),
        tried=search.tried,
        strongest=strongest,
        grid=grid,
        landscape=landscape,
    )


class _Search:
    """Placings handed out to workers, generation by generation."""

    def __init__(
        self, file: SceneFile, start: Glance, crew: WorkerPool, tries: int, tell: Tell
    ) -> None:
        self.file, self.start, self.crew, self.tries, self.tell = file, start, crew, tries, tell
        self.tried = 0
        free = len(file.free)
        self.expected = tries + 4 * free + ACROSS ** min(free, 2)

    def scores(self, placings: Iterable[Iterable[float]]) -> list[float]:
        """The score of each placing."""
        files = [chosen(self.file, [_tidy(v) for v in values]) for values in placings]
        done = self.tried
        seen = self.crew.run(glance, files, lambda n, _: self.tell(done + n, self.expected))
        self.tried += len(files)
        return [score(self.file.goal, one, self.start) for one in seen]

    def evolve(self, bounds: list[tuple[float, float]], begin: list[float]) -> list[float]:
        """The best values found."""
        from scipy.optimize import differential_evolution

        def many(work: Callable[[Any], float], placings: Iterable[Any]) -> list[float]:
            return [-value for value in self.scores(placings)]

        generation = max(PER_NUMBER * len(bounds), 5)
        lows, highs = np.array(bounds).T
        inside = np.clip(begin, lows, highs)
        generator = np.random.default_rng(self.file.goal.seed)
        first = _spread(generator, generation, lows, highs)
        first[0] = inside
        found = differential_evolution(
            _never,
            bounds,
            init=first,  # pyright: ignore
            maxiter=max(self.tries // generation - 1, 1),
            rng=generator,
            updating="deferred",
            workers=many,  # pyright: ignore
            polish=False,
            tol=1e-4,
            mutation=(0.4, 0.9),
            recombination=0.8,
        )
        return [_tidy(value) for value in found.x]

    def strongest(self, best: list[float], bounds: list[tuple[float, float]]) -> tuple[int, ...]:
        """The one or two numbers that change the score most, a tenth of their range to each side
        and two tenths."""
        tried = []
        for number, (low, high) in enumerate(bounds):
            for part in (-0.2, -0.1, 0.1, 0.2):
                values = list(best)
                values[number] = float(np.clip(best[number] + part * (high - low), low, high))
                tried.append(values)
        scores = np.array(self.scores(tried)).reshape(len(bounds), 4)
        drop = -scores.min(axis=1)
        return tuple(sorted(np.argsort(-drop, kind="stable")[:2].tolist()))

    def landscape(
        self, best: list[float], strongest: tuple[int, ...], grid: tuple[Floats, ...]
    ) -> Floats:
        """Scores over the strongest numbers with the others at their best."""
        placings = []
        for values in np.stack(np.meshgrid(*grid), axis=-1).reshape(-1, len(grid)):
            one = list(best)
            for number, value in zip(strongest, values, strict=True):
                one[number] = float(value)
            placings.append(one)
        return np.array(self.scores(placings)).reshape((ACROSS,) * len(grid))


def _spread(generator: np.random.Generator, number: int, lows: Floats, highs: Floats) -> Floats:
    """A Latin hypercube (McKay 1979): each number's range is covered evenly."""
    shares = (np.arange(number)[:, None] + generator.random((number, len(lows)))) / number
    return lows + generator.permuted(shares, axis=0) * (highs - lows)


def _never(values: Any) -> float:
    """Scores come from the crew; the optimiser never asks for one by itself."""
    raise AssertionError("a placing was scored outside the crew")


def _tidy(value: float) -> float:
    """Four digits behind the point: no lamp is put up more exactly than that."""
    return round(float(value), 4)
