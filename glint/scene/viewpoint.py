"""Where somebody may stand and look: in the room, and in no ball."""

from __future__ import annotations

import math

import numpy as np

from glint.errors import Problem, SceneError, in_words, place
from glint.scene.scene import Scene


def require_eye(scene: Scene) -> None:
    """Raises SceneError for an eye outside the room, in its pole, or within a ball's reach.

    Only who wants the eye's view is told, since scenes that say nothing of an eye have one too;
    `glint check` warns.
    """
    problems = _problems(scene)
    if problems:
        raise scene.source.told(SceneError(scene.shown, problems))


def eye_problems(scene: Scene) -> list[str]:
    """The same as warnings, for those who have not asked for the eye's view yet."""
    told = scene.source.told(SceneError(scene.shown, _problems(scene)))
    return [f"{problem}; --view eye refuses this scene" for problem in told.problems]


def _problems(scene: Scene) -> list[Problem]:
    eye, room = scene.eye.at_m, scene.room
    spot = np.array(eye, float)
    problems = []
    where, shown = place(("eye", "at_m")), in_words(list(eye))
    if room.clearance(spot) <= 0.0:
        problems.append(Problem(where, shown, _inside(scene)))
    elif math.hypot(*spot[:2]) < room.pole:
        problems.append(Problem(where, shown, "a point beside the pole"))
    for ball in scene.balls:
        if math.dist(ball.centre, spot) <= ball.body.radius:
            allowed = f"a point outside the ball {in_words(ball.name)}"
            problems.append(Problem(where, shown, allowed))
    return problems


def _inside(scene: Scene) -> str:
    """Where the eye may be, with the height of the roof above where it stands, and what to do."""
    x, y, z = scene.eye.at_m
    out, table = math.hypot(x, y), scene.source.room
    half_x, half_y = table.half_sides
    apart = table.kind == "hall"
    if (abs(x) >= half_x or abs(y) >= half_y) if apart else out >= half_x:
        return "a point inside the room, which ends before it: nearer to the middle"
    roof = table.ceiling(out)
    if z >= roof:
        return f"a point inside the room: the roof is {roof:.2f} m high there; lower, or nearer in"
    return "a point inside the room, above its floor"
