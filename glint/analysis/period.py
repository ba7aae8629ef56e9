"""The period of the pattern within a turn: what has to be looked at, and no more."""

from __future__ import annotations

import math
from typing import NamedTuple

from glint.errors import GlintError
from glint.scene.period import exposure_time, period
from glint.scene.scene import Pose, Scene


class Turn(NamedTuple):
    """One turn of the ball that turns first in the scene, or a part after which all is repeated.

    seconds: how long; 0 where nothing turns, and then the balls are looked at from all sides
    degrees: how far that ball turns meanwhile, at its fastest
    """

    scene: Scene
    seconds: float
    degrees: float

    def at(self, share: float) -> Pose:
        """The pose at a share of it, 0 to 1."""
        if self.seconds:
            return self.scene.at(seconds=share * self.seconds)
        return self.scene.at(degrees=share * self.degrees)


def turn_of(scene: Scene) -> Turn:
    """The turn of a scene, shortened to the pattern's own period where it is shorter."""
    # What turns first; if nothing turns steadily, what first swings or twists.
    steady = [abs(ball.turning) for ball in scene.balls if ball.turning]
    moving = steady or [ball.fastest for ball in scene.balls if ball.fastest]
    if not moving:
        alike = math.gcd(*(ball.body.symmetry for ball in scene.balls))
        return Turn(scene, 0.0, 360.0 / alike)
    seconds = 2.0 * math.pi / steady[0] if steady else float(exposure_time(scene))
    try:
        shared = float(period(scene))
    except GlintError:
        shared = seconds  # It repeats only after a long time: a turn of the first ball it is.
    seconds = min(seconds, shared)
    return Turn(scene, seconds, math.degrees(moving[0] * seconds))
