"""What geometry alone says against a placing, before any light is followed."""

from __future__ import annotations

from typing import Literal, NamedTuple

from glint.errors import SceneError, UsageError
from glint.scene.ball import Ball
from glint.scene.cache import SharedCache
from glint.scene.scene import Scene
from glint.schema.tables import FreeTable, SceneFile
from glint.search.variables import chosen, name_of

Kind = Literal["outside the room", "too low over people", "cannot be built"]

_SIZES = {"height_m", "diameter_m", "panel_edge_mm"}
"""Free numbers of a ball that move its lowest point."""

_ROOM = ("height_m", "at_m", "swing_deg")
"""Keys that are told of where a ball or a lamp is not well inside the room, or meets another."""

ENOUGH = 1e-9
"""m, by which a ball may be too low: rounding."""


class Obstacle(NamedTuple):
    """Why a placing needs no look. by: m, how much too low; 0 for all else."""

    kind: Kind
    by: float


def obstacle(file: SceneFile, cache: SharedCache) -> Obstacle | None:
    """What is against a scene; None if it is worth a look. cache: what scenes of a search share."""
    try:
        scene = Scene.of(file, cache)
    except SceneError as error:
        inside = any(problem.where.endswith(_ROOM) for problem in error.problems)
        return Obstacle("outside the room" if inside else "cannot be built", 0.0)
    missing = [file.goal.clearance_m - lowest(ball) for ball in held(scene)]
    by = max(missing, default=0.0)
    return Obstacle("too low over people", by) if by > ENOUGH else None


def held(scene: Scene) -> list[Ball]:
    """The balls that are to stay above people's heads: those that a search can lift."""
    lifted = {free.ball for free in scene.source.free if free.key in _SIZES}
    return [ball for ball in scene.balls if ball.name in lifted]


def lowest(ball: Ball) -> float:
    """Height of a ball's lowest point as it hangs still, m."""
    body = ball.body
    parts = [part.corners for part in (body.tiles, body.panels) if len(part.sides)]
    return float(ball.centre[2]) + min(float(corners[..., 2].min()) for corners in parts)


def require_clearance(file: SceneFile, cache: SharedCache) -> None:
    """Raises UsageError where a ball hangs too low at the most that its height may be."""
    for free in file.free:
        if free.key != "height_m" or any(_sizes(other, free.ball) for other in file.free):
            continue
        # Only the ball's own size counts here, so what else is wrong at that height does not.
        row = next(ball for ball in file.ball if ball.name == free.ball)
        scene = Scene.of(file, cache)
        ball = next(ball for ball in scene.balls if ball.name == free.ball)
        below = row.hang.height_m - lowest(ball)
        least = file.goal.clearance_m + below
        if free.most < least - ENOUGH:
            raise UsageError(
                f"{name_of(free)}: most = {free.most:g}, and the ball would hang too low over "
                f"people; allowed: at least {least:.3f}, for its lowest point to be "
                f"clearance_m = {file.goal.clearance_m:g} m above the floor, or a smaller "
                "clearance_m in [goal]"
            )


def _sizes(free: FreeTable, ball: str | None) -> bool:
    return free.ball == ball and free.key in _SIZES - {"height_m"}


def at_its_limits(file: SceneFile, values: list[float]) -> list[str]:
    """The bounds that a placing meets, in words: a better one may lie beyond."""
    found = []
    for free, value in zip(file.free, values, strict=True):
        near = 1e-3 * (free.most - free.least)
        if value <= free.least + near:
            found.append(f"{name_of(free)} is at its least, {free.least:g}")
        elif value >= free.most - near:
            found.append(f"{name_of(free)} is at its most, {free.most:g}")
    scene = Scene.of(chosen(file, values))
    for ball in held(scene):
        if lowest(ball) <= file.goal.clearance_m + 0.02:
            found.append(
                f"{ball.name} hangs as low as clearance_m = {file.goal.clearance_m:g} lets it"
            )
    return found
