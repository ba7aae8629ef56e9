"""The best set of shapes for a stock, as an integer programme solved exactly by HiGHS.

How often each shape is built is a whole number x; the tiles of all of them are at most the usable
stock, and the balls at most so many; the aim is linear in x, or, for the most different shapes, in
y, which is 1 where x is not 0.

Ties are broken in this order: most of the aim; most tiles; fewest balls; and then as many as
possible of the shape that stands first in the catalogue, of the second, and so on. Each is solved
for in turn with the ones before held fast, so there is one answer and it does not depend on chance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal, NamedTuple, get_args

import numpy as np

from glint.errors import GlintError
from glint.shape.catalogue import Entry

Aim = Literal["tiles", "balls", "different", "spots"]
AIMS: tuple[Aim, ...] = get_args(Aim)

MOST_BALLS = 6
"""Balls in a set, unless it is said how many."""


class Choice(NamedTuple):
    """One set: each shape and how often; value: what it reaches of the aim; and what is left."""

    shapes: tuple[tuple[Entry, int], ...]
    value: int
    triangles_left: int
    squares_left: int


def best_sets(
    entries: Sequence[Entry],
    usable: tuple[int, int],
    aim: Aim,
    spots: Sequence[int] | None = None,
    most_balls: int = MOST_BALLS,
    count: int = 1,
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> list[Choice]:
    """The best set, and then the next best of another choice of shapes, up to `count` of them.

    usable: triangles and squares. spots: of each entry, for the aim "spots". most_balls: in a set,
    at least 1. No set if nothing can be made. Each set after the first is the best of those whose
    shapes, however often built, are not the shapes of a set before it. tell(done, total) is called
    after each.
    """
    needs = np.array([(entry.triangles, entry.squares) for entry in entries]).reshape(-1, 2)
    have = np.array(usable)
    fits = np.flatnonzero((needs <= have).all(axis=1))
    if not fits.size:
        return []
    value = None
    if aim == "spots":
        if spots is None:
            raise TypeError('the aim "spots" needs the spots of each shape')
        value = np.array(spots)[fits]
    programme = _Programme(needs[fits], have, aim, value, most_balls)
    choices: list[Choice] = []
    refused: list[np.ndarray] = []
    while len(choices) < count:
        times = programme.best(refused)
        if times is None or not times.any():
            break
        refused.append(times > 0)
        left = have - times @ needs[fits]
        shapes = tuple((entries[fits[i]], int(times[i])) for i in np.flatnonzero(times))
        choices.append(Choice(shapes, programme.value(times), int(left[0]), int(left[1])))
        tell(len(choices), count)
    return choices


class _Programme:
    """The unknowns are x, one a shape, and then y, one a shape."""

    def __init__(
        self,
        needs: np.ndarray,
        have: np.ndarray,
        aim: Aim,
        spots: np.ndarray | None,
        most_balls: int,
    ) -> None:
        self.needs, self.have, self.most_balls = needs, have, most_balls
        self.count = len(needs)
        tiles = needs.sum(axis=1)
        limits = np.where(needs > 0, have // np.maximum(needs, 1), have.max())
        self.most = np.minimum(limits.min(axis=1), most_balls)
        if aim == "different":
            self.most = np.minimum(self.most, 1)
        none = np.zeros(self.count, np.int64)
        ones = np.ones(self.count, np.int64)
        self.aim = {
            "tiles": np.concatenate([tiles, none]),
            "balls": np.concatenate([ones, none]),
            "different": np.concatenate([none, ones]),
            "spots": np.concatenate([none if spots is None else spots, none]),
        }[aim]
        self.then = [np.concatenate([tiles, none]), -np.concatenate([ones, none])]

    def value(self, times: np.ndarray) -> int:
        """What so many of each shape reach of the aim."""
        return int(self.aim @ np.concatenate([times, times > 0]))

    def best(self, refused: Sequence[np.ndarray]) -> np.ndarray | None:
        """How often each shape is built, (shapes,) int, or None if nothing is left to choose.

        refused: sets of shapes, (shapes,) bool, that are not to come again.
        """
        rows, low, high = self._rules(refused)
        found = None
        for goal in [self.aim, *self.then]:
            found = self._solve(goal, rows, low, high)
            if found is None:
                return None
            reached = int(goal @ found)
            rows, low, high = [*rows, goal], [*low, reached], [*high, reached]
        assert found is not None
        fixed = np.zeros(self.count, np.int64)
        for i in range(self.count):
            goal = np.zeros(2 * self.count, np.int64)
            goal[i] = 1
            if found[i] < self.most[i]:
                found = self._solve(goal, rows, low, high)
                assert found is not None
            fixed[i] = found[i]
            rows, low, high = [*rows, goal], [*low, fixed[i]], [*high, fixed[i]]
            if (fixed @ self.needs == found[: self.count] @ self.needs).all():
                break  # nothing of the rest is built
        return fixed

    def _rules(
        self, refused: Sequence[np.ndarray]
    ) -> tuple[list[np.ndarray], list[float], list[float]]:
        none = np.zeros(self.count, np.int64)
        rows = [np.concatenate([need, none]) for need in (*self.needs.T, none + 1)]
        low, high = [-np.inf] * 3, [*map(float, self.have), float(self.most_balls)]
        for i in range(self.count):  # y is 0 where x is 0, and 1 elsewhere
            for factor, least, most in ((1, 0.0, np.inf), (self.most[i], -np.inf, 0.0)):
                row = np.zeros(2 * self.count, np.int64)
                row[i], row[self.count + i] = 1, -factor
                rows.append(row)
                low.append(least)
                high.append(most)
        for shapes in refused:  # at least one y is another one
            rows.append(np.concatenate([none, np.where(shapes, -1, 1)]))
            low.append(1.0 - float(shapes.sum()))
            high.append(np.inf)
        return rows, low, high

    def _solve(
        self,
        goal: np.ndarray,
        rows: Sequence[np.ndarray],
        low: Sequence[float],
        high: Sequence[float],
    ) -> np.ndarray | None:
        from scipy.optimize import Bounds, LinearConstraint, milp

        # scipy takes arrays here, and says so in its manual but not in its types.
        most: Any = np.concatenate([self.most, np.ones(self.count)])
        least: Any = np.zeros(len(goal))
        lowest: Any = np.array(low)
        highest: Any = np.array(high)
        answer = milp(
            -goal.astype(float),
            integrality=np.ones(len(goal)),
            bounds=Bounds(least, most),
            constraints=LinearConstraint(np.array(rows, float), lowest, highest),
            options={"mip_rel_gap": 0.0},
        )
        if answer.status == 2:  # infeasible
            return None
        if not answer.success:
            raise GlintError(f"the search for sets did not end: {answer.message}")
        found = np.round(answer.x).astype(np.int64)
        values = np.array(rows) @ found
        # Rounded to whole numbers, every rule is checked once more without any tolerance.
        if not ((lowest <= values) & (values <= highest)).all():
            raise GlintError("the search for sets gave an answer that breaks its own rules")
        return found
