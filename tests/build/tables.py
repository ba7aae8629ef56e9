"""Balls for the tests of this stage, by their tables."""

from __future__ import annotations

from typing import Any

from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of
from glint.schema.tables import WorkshopTable
from glint.shape.body import Body

WORKSHOP = WorkshopTable()


def scene(*balls: dict[str, Any], **tables: Any) -> Scene:
    return build(scene_of({"room": {"radius_m": 4.0}} | tables | {"ball": list(balls)}))


def body(base: str, steps: tuple[dict[str, Any], ...] = (), by: str | None = None, **tile: Any):
    """The body of a ball; steps as in a scene file. Tiles stand on the panels, without pockets."""
    hang = {} if by is None else {"by": by}
    tile = {"recess_mm": 0.0, **tile}
    ball = {"shape": {"base": base, "steps": list(steps)}, "hang": hang, "tile": tile}
    made: Body = scene(ball).balls[0].body
    return made


RAISE_3 = {"do": "raise", "sides": 3}
OPEN_4 = {"do": "open", "sides": 4}
