"""The strings of a scene file, laid in their balls."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from glint.errors import Problem, SceneError, place
from glint.kernels.arrays import Floats
from glint.photometry.leds import Leds, build_leds
from glint.scene.ball import Ball
from glint.scene.cache import Same, SharedCache
from glint.schema.tables import SceneFile, StringTable, TileTable
from glint.shape.body import Body
from glint.shape.inside import bundle, clearance, coil, inner_reach
from glint.shape.openings import Cut, cut_open

FREE_PER_LED = 1.0
"""How far an LED's middle stays from panels and openings, in its radii."""

BUNDLE, COIL_HEIGHT = 0.6, 0.8  # of the largest sphere inside, across; of the coil's diameter
TURNS = 5.0


def lay_strings(file: SceneFile, balls: Sequence[Ball], cache: SharedCache) -> tuple[Leds, ...]:
    """The LEDs of every string. Raises SceneError where they do not lie inside their body, or
    where no light could come out. cache: where strings are found again that other scenes had."""
    found, problems = [], []
    names = [ball.name for ball in balls]
    for number, row in enumerate(file.string):
        index = names.index(row.ball)
        key = ("string", number, row, index, Same(balls[index].body), balls[index].tile)
        laid = cache.get(key, partial(_laid, row, number, index, balls[index]))
        (found if isinstance(laid, Leds) else problems).append(laid)
    if problems:
        raise SceneError(str(file.path), problems)
    return tuple(found)


def _laid(row: StringTable, number: int, index: int, ball: Ball) -> Leds | Problem:
    """One string in its ball, or what keeps it out."""
    told = _unfit(row, number, ball)
    if told is not None:
        return told
    try:
        return build_leds(row, index, _points(row, ball.body))
    except ValueError:
        reach = 2000.0 * inner_reach(ball.body.frame)
        where = place(("string", number, "bundle_mm" if row.lay == "bundle" else row.lay))
        said = f'{row.leds} LEDs of {row.led_mm:g} mm, not all inside the ball "{row.ball}"'
        allowed = "places inside the body, clear of its panels"
        if reach > 0.0:
            allowed += f"; a sphere of {reach:.0f} mm about its centre fits in"
        return Problem(where, said, allowed)


def cut_of(tile: TileTable, body: Body) -> Cut:
    """What the seams, cut corners and holes of a ball's tiles make of its panels."""
    return cut_open(
        body.frame,
        tile.seam_mm / 1000.0,
        tile.corner_cut_mm / 1000.0,
        tile.hole_mm / 1000.0,
        tile.thickness_mm / 1000.0,
    )


def _unfit(row: StringTable, number: int, ball: Ball) -> Problem | None:
    """What keeps light from coming out of a body, if anything."""
    where, body = place(("string", number, "ball")), ball.body
    if body.base in ("mesh", "rings"):
        kind = "a mesh" if body.base == "mesh" else "a ring-laid ball"
        allowed = "a ball of panels: a mesh and a ring-laid ball have no seams or openings"
        return Problem(where, f'"{row.ball}", {kind}', allowed)
    try:
        cut = cut_of(ball.tile, body)
    except ValueError as error:
        return Problem(where, f'"{row.ball}": {error}', "narrower seams or smaller cut corners")
    if not len(cut.openings.sides):
        allowed = "a ball with seam_mm, corner_cut_mm or hole_mm, or with a face left open"
        return Problem(where, f'"{row.ball}", which is closed all round', allowed)
    return None


def _points(row: StringTable, body: Body) -> Floats:
    """Where the LEDs lie, in the ball's own frame: (n, 3) float, m. Raises ValueError."""
    free = FREE_PER_LED * row.led_mm / 2000.0
    if row.points_mm is not None:
        points = np.array(row.points_mm, float) / 1000.0
    elif row.lay == "coil":
        reach = inner_reach(body.frame)
        across = BUNDLE * 2.0 * reach if row.coil_mm is None else row.coil_mm / 1000.0
        high = COIL_HEIGHT * across if row.coil_height_mm is None else row.coil_height_mm / 1000.0
        points = coil(row.leds, 0.5 * across, high, row.turns or TURNS)
    else:
        reach = inner_reach(body.frame)
        radius = BUNDLE * reach if row.bundle_mm is None else row.bundle_mm / 2000.0
        return bundle(body.frame, row.leds, radius, free, row.seed)
    if clearance(body.frame, points).min() < free:
        raise ValueError("outside the body")
    return points
