"""Which balls of a scene cannot be glued, and what would fit."""

from __future__ import annotations

from collections.abc import Iterator

from glint.errors import in_words
from glint.scene.ball import Ball
from glint.scene.scene import Scene
from glint.shape.gluing import gluing


def unglued(scene: Scene) -> tuple[str, ...]:
    """A line for every ball whose tiles collide, with what fits instead, and for every one whose
    panels are too thin for their pockets.
    """
    return tuple(
        f"ball {in_words(ball.name)}: {why}"
        for ball in scene.balls
        for why in _reasons(scene, ball)
    )


def _reasons(scene: Scene, ball: Ball) -> Iterator[str]:
    judged = gluing(ball.body, ball.shape, ball.tile)
    if not judged.possible:
        yield judged.says
    panel, recess = scene.workshop.panel_thickness_mm, ball.tile.recess_mm
    if recess and recess >= panel:
        yield (
            f"pockets {recess:g} mm deep go right through panels {panel:g} mm thick; what fits: "
            f"workshop.panel_thickness_mm above {recess:g}, or a smaller tile.recess_mm"
        )
