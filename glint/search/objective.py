"""How good a placing is: the weighted mix that the scene asks for, under its limits."""

from __future__ import annotations

import math

from glint.schema.tables import GoalTable
from glint.search.fast_measures import Glance

FEWEST_SPOTS = 1.0
LEAST_COVER = 1e-4
"""What a start without any light counts as, so that others can be held against it."""

BROKEN = 10.0
"""What breaking a limit by half costs: more than any gain is likely to be worth."""


def score(goal: GoalTable, seen: Glance, start: Glance) -> float:
    """Weighted mean of spots, evenness and cover, each as a multiple of the start's.

    The start scores 1 if it breaks no limit. Evenness is one over the unevenness of a turn.
    Broken limits cost by how far they are broken, so that a search finds its way back; a scene
    that cannot be built is worse than all others.
    """
    if seen.problem:
        return -1000.0
    weights = goal.spots + goal.evenness + goal.cover
    parts = (
        goal.spots * seen.spots / max(start.spots, FEWEST_SPOTS),
        goal.evenness * _ratio(start.unevenness, seen.unevenness),
        goal.cover * seen.cover / max(start.cover, LEAST_COVER),
    )
    return sum(parts) / (weights or 1.0) - 2.0 * BROKEN * sum(broken(goal, seen).values())


def broken(goal: GoalTable, seen: Glance) -> dict[str, float]:
    """Limits that do not hold, and by which share they are broken."""
    found = {}
    for key, value, limit in (
        ("speed_at_most_m_s", seen.speed, goal.speed_at_most_m_s),
        ("passes_at_most_per_s", seen.passes, goal.passes_at_most_per_s),
        ("peak_at_most_lux", seen.peak, goal.peak_at_most_lux),
        ("tiles_at_most", float(seen.tiles), goal.tiles_at_most),
    ):
        if limit is not None and value > limit:
            found[key] = value / limit - 1.0
    least = goal.peak_at_least_lux
    if least and seen.peak < least:
        found["peak_at_least_lux"] = 1.0 - seen.peak / least
    return found


def _ratio(start: float, now: float) -> float:
    """How many times as even; a room without spots is not even at all."""
    if math.isnan(now):
        return 0.0
    return 1.0 if math.isnan(start) else start / max(now, 1e-3)
