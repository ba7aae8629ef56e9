"""What a ball sweeps as it swings, and whether it comes too near to anything."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from glint.errors import Problem, place
from glint.kernels.arrays import Floats
from glint.room.room import Room
from glint.scene.ball import Ball
from glint.schema.tables import BallTable

ALIKE = 1e-6
"""Two swings whose periods differ by less than this share keep step."""


def ball_problems(number: int, row: BallTable, ball: Ball, room: Room) -> Iterator[Problem]:
    """Where a ball touches the room or its pole, at rest or as it swings."""
    where: Sequence[str | int] = ("ball", number, "hang", "height_m")
    radius = ball.body.radius
    free = room.clearance(ball.centre)
    beside = math.hypot(*ball.centre[:2]) - room.pole
    if free <= radius:
        found = f"{row.hang.height_m:g} m, {free:.3f} m from the nearest surface"
        allowed = f"more than the ball's radius, {radius:.3f} m, from every surface"
        yield Problem(place(where), found, allowed)
    if room.pole and beside <= radius:
        where = ("ball", number, "hang", "at_m")
        found = f"a ball {max(beside, 0.0):.3f} m from the pole"
        allowed = f"a place more than the ball's radius, {radius:.3f} m, beside it"
        yield Problem(place(where), found, allowed)
    if ball.swing is None or free <= radius or (room.pole and beside <= radius):
        return
    path, between = ball.places(), _between(ball)
    where = ("ball", number, "motion", "swing_deg")
    shown = f"{row.motion.swing_deg:g} deg on a cord of {ball.swing.length:.3f} m to the middle"
    free = min(room.clearance(point) for point in path) - between
    if free <= radius:
        found = f"{shown}, which takes the ball to {max(free, 0.0):.3f} m from a surface"
        allowed = f"a swing that stays more than the ball's radius, {radius:.3f} m, from every one"
        yield Problem(place(where), found, allowed)
    beside = float(np.hypot(path[:, 0], path[:, 1]).min()) - between - room.pole
    if room.pole and beside <= radius:
        found = f"{shown}, which takes the ball to {max(beside, 0.0):.3f} m from the pole"
        allowed = f"a swing that stays more than the ball's radius, {radius:.3f} m, from it"
        yield Problem(place(where), found, allowed)


def meeting_problems(balls: Sequence[Ball]) -> Iterator[Problem]:
    """Balls that a swing would knock together. Those that hang still are left as they are."""
    for number, ball in enumerate(balls):
        for other in (*balls[:number], *(b for b in balls[number + 1 :] if b.swing is None)):
            if ball.swing is None:
                continue
            apart = _apart(ball, other)
            room_for_both = ball.body.radius + other.body.radius
            if apart <= room_for_both:
                where = place(("ball", number, "motion", "swing_deg"))
                found = f'a ball whose middle comes within {apart:.3f} m of that of "{other.name}"'
                allowed = f"more than the radii of both, {room_for_both:.3f} m"
                yield Problem(where, found, allowed)


def nearest_to(ball: Ball, point: Floats) -> float:
    """Least distance of the ball's centre from a point, m."""
    return float(np.linalg.norm(ball.places() - point, axis=1).min()) - _between(ball)


def _apart(ball: Ball, other: Ball) -> float:
    """Least distance of two centres, m: in step, or wherever each may be."""
    slack = _between(ball) + _between(other)
    one, two = ball.swing, other.swing
    if one is not None and two is not None and abs(one.period / two.period - 1.0) < ALIKE:
        times = np.linspace(0.0, one.period, 257)
        away = [ball.stance(0.0, one.lean(t))[1] - other.stance(0.0, two.lean(t))[1] for t in times]
        # Between two of these moments they come nearer by no more than their speeds allow.
        pace = sum(s.fastest * s.length for s in (one, two)) * one.period / 256.0
        return float(np.linalg.norm(away, axis=1).min()) - pace / 2.0
    from scipy.spatial.distance import cdist

    return float(cdist(ball.places(), other.places()).min()) - slack


def _between(ball: Ball) -> float:
    """At most so far from one of `places` is the centre, m: half a step along the arc."""
    if ball.swing is None:
        return 0.0
    return ball.swing.length * ball.swing.amplitude / (len(ball.places()) - 1)
