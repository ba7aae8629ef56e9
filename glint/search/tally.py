"""Placings handed out to workers: each is looked at once, and every look is counted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from glint.parallel.executors import Tell, WorkerPool
from glint.scene.cache import SharedCache
from glint.schema.tables import SceneFile
from glint.search.fast_measures import Glance, glance
from glint.search.objective import broken, score
from glint.search.obstacles import Obstacle, obstacle
from glint.search.variables import chosen, values_of

REFUSED = -1000.0
"""Score of what geometry rules out: worse than all that breaks a limit."""

Values = tuple[float, ...]


class Tally:
    """What is known of every placing of a search.

    tried: looks taken, the start's included; refused: placings that needed none
    """

    def __init__(
        self,
        file: SceneFile,
        start: Glance,
        crew: WorkerPool,
        tries: int,
        tell: Tell,
        cache: SharedCache,
    ) -> None:
        self.file, self.start, self.crew, self.tries, self.tell = file, start, crew, tries, tell
        self.cache = cache
        self.tried = 1
        begin = _tidy(values_of(file))
        self._seen: dict[Values, Glance] = {}
        self._scores: dict[Values, float] = {}
        self._against: dict[Values, Obstacle | None] = {}
        if all(free.least <= v <= free.most for free, v in zip(file.free, begin, strict=True)):
            self._record(begin, start)

    @property
    def refused(self) -> int:
        """Placings that geometry alone ruled out."""
        return sum(one is not None for one in self._against.values())

    @property
    def best(self) -> list[float]:
        """The values of the best so far, the earliest among equals."""
        return list(max(self._scores, key=lambda values: self._scores[values]))

    def scores(self, placings: Iterable[Sequence[float]], until: int | None = None) -> list[float]:
        """The score of each placing. until: tries that may be used up; what is not reached then,
        scores as if it were refused, and is not known."""
        wanted = [_tidy(values) for values in placings]
        left = (self.tries if until is None else until) - self.tried
        new = [v for v in dict.fromkeys(wanted) if v not in self._scores and self._worth(v)]
        new = new[: max(left, 0)]
        done = self.tried
        files = [chosen(self.file, values) for values in new]
        seen = self.crew.run(glance, files, lambda n, _: self.tell(done + n, self.tries))
        self.tried += len(new)
        for values, one in zip(new, seen, strict=True):
            self._record(values, one)
        return [self._scores.get(values, REFUSED) for values in wanted]

    def score_of(self, values: Sequence[float]) -> float:
        """The score of a placing that is known."""
        return self._scores[_tidy(values)]

    def was_seen(self, values: Sequence[float]) -> bool:
        """Whether a placing may be chosen: it was looked at, and geometry allows it."""
        key = _tidy(values)
        return key in self._seen and self._against.get(key) is None

    def glance_of(self, values: Sequence[float]) -> Glance:
        """What was seen of a placing that was looked at."""
        return self._seen[_tidy(values)]

    def against(self, values: Sequence[float]) -> str:
        """Why a placing that was scored cannot be chosen, in words; "" if it can."""
        key = _tidy(values)
        hindrance = self._against.get(key)
        if hindrance is not None:
            return hindrance.kind
        seen = self._seen[key]
        if seen.problem:
            return "cannot be built"
        return "a limit is broken" if broken(self.file.goal, seen) else ""

    def ruled_out(self, values: Sequence[float]) -> str:
        """What geometry alone says against a placing, in words, or "": no look is taken."""
        hindrance = obstacle(chosen(self.file, _tidy(values)), self.cache)
        return "" if hindrance is None else hindrance.kind

    def _worth(self, values: Values) -> bool:
        """Whether a placing is worth a look; if not, that is written down."""
        if values not in self._against:
            self._against[values] = obstacle(chosen(self.file, values), self.cache)
        hindrance = self._against[values]
        if hindrance is not None:
            self._scores[values] = REFUSED - hindrance.by
        return hindrance is None

    def _record(self, values: Values, seen: Glance) -> None:
        self._seen[values] = seen
        if self._worth(values):
            self._scores[values] = score(self.file.goal, seen, self.start)


def _tidy(values: Sequence[float]) -> Values:
    """Four digits behind the point: no lamp is put up more exactly than that."""
    return tuple(round(float(value), 4) for value in values)
