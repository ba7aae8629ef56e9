"""Where somebody may stand and look: in the room, and in no ball."""

from __future__ import annotations

import math

import numpy as np

from glint.errors import Problem, SceneError, in_words, place
from glint.scene.scene import Scene


def require_eye(scene: Scene) -> None:
    """Raises SceneError for an eye outside the room, in its pole, or within a ball's reach.

    Only who wants the eye's view is told, since scenes that say nothing of an eye have one too.
    """
    spot = np.array(scene.eye.at_m, float)
    problems = []
    where, shown = place(("eye", "at_m")), in_words(list(scene.eye.at_m))
    if scene.room.clearance(spot) <= 0.0 or math.hypot(*spot[:2]) < scene.room.pole:
        problems.append(Problem(where, shown, "a point inside the room"))
    for ball in scene.balls:
        if math.dist(ball.centre, spot) <= ball.body.radius:
            allowed = f"a point outside the ball {in_words(ball.name)}"
            problems.append(Problem(where, shown, allowed))
    if problems:
        raise scene.source.told(SceneError(scene.shown, problems))
