"""How many spots a shape throws, counted in one place for all, so that shapes can be compared.

Without a scene the place is the reference: a dome of 4 m radius, 0.3 lx of ambient light, with one
lamp of 20,000 cd, 6° wide, at [3, 0, 1.6] m, aimed at the ball, which hangs in the middle, 2.4 m
up. A scene has its own room, lamps and motion; each shape hangs there alone, in the place of each
ball in turn. Everywhere it hangs by a corner. Visible spots are counted as everywhere in glint (see
`glint.lighting.visibility`). The figure is the mean over the places and over three poses, evenly
spread over one symmetry period of the turn, rounded to a whole number.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Sequence
from typing import NamedTuple

from glint.errors import SceneError
from glint.schema.read import scene_of
from glint.schema.tables import BallTable, LampTable, SceneFile
from glint.shape.catalogue import Entry
from glint.shape.tables import ShapeTable, TileTable

POSES = 3
"""Instants of one symmetry period that the figure is the mean of."""

SCENE = """
title = "the reference"

[room]
radius_m = 4.0
ambient_lux = 0.3

[[ball]]
name = "ball"
hang = { height_m = 2.4, by = "vertex" }
shape = "cube"

[[lamp]]
at_m = [3.0, 0.0, 1.6]
aim = "ball"
beam_deg = 6.0
field_deg = 10.2
peak_cd = 20000.0
lens_mm = 60.0
"""


class Count(NamedTuple):
    """spots: the figure; None where the shape can hang nowhere. problem: why not, "" if it can."""

    spots: int | None
    problem: str = ""


def reference() -> list[SceneFile]:
    """The place of the reference, as `places_of` gives those of a scene."""
    return places_of(scene_of(tomllib.loads(SCENE)))


def places_of(file: SceneFile) -> list[SceneFile]:
    """A scene for each of a scene's balls, in which that one hangs alone.

    Lamps that were aimed at another ball shine to where its middle was. Strings stay away with
    their balls.
    """
    middles = {ball.name: (*ball.hang.at_m, ball.hang.height_m) for ball in file.ball}

    def aimed(lamp: LampTable, ball: BallTable) -> LampTable:
        if not isinstance(lamp.aim, str) or lamp.aim == ball.name:
            return lamp
        return lamp.model_copy(update={"aim": middles[lamp.aim]})

    return [
        file.replaced(
            ball=(ball,),
            lamp=tuple(aimed(lamp, ball) for lamp in file.lamp),
            string=(),
            candidate=(),
            free=(),
        )
        for ball in file.ball
    ]


def visible_spots(
    entries: Sequence[Entry],
    places: Sequence[SceneFile],
    tile: TileTable,
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> list[Count]:
    """The count of each shape with such tiles; places: as `places_of` gives them.

    tell(done, total) is called after each.
    """
    counts = []
    for done, entry in enumerate(entries, start=1):
        counts.append(_count(entry, places, tile))
        tell(done, len(entries))
    return counts


def _count(entry: Entry, places: Sequence[SceneFile], tile: TileTable) -> Count:
    shape = ShapeTable.model_validate(entry.name)
    seen, problem = [], ""
    for place in places:
        (ball,) = place.ball
        hang = ball.hang.model_copy(update={"by": "vertex", "sides": None})
        hung = ball.model_copy(update={"shape": shape, "tile": tile, "hang": hang})
        try:
            seen.append(_mean_spots(place.replaced(ball=(hung,))))
        except SceneError as error:  # too large to hang there
            problem = "; ".join(map(str, error.problems))
    if not seen:
        return Count(None, problem)
    return Count(math.floor(sum(seen) / len(seen) + 0.5))


def _mean_spots(file: SceneFile) -> float:
    from glint.lighting.illumination import beams
    from glint.lighting.spots import spots_of
    from glint.lighting.visibility import quick_ambient, visible
    from glint.scene.build import build

    scene = build(file)
    period = 360.0 / scene.balls[0].body.symmetry
    poses = [scene.at(degrees=period * number / POSES) for number in range(POSES)]
    ambient = quick_ambient(poses[0])
    seen = sum(len(visible(scene, spots_of(p, beams(p)[0]), ambient).peak) for p in poses)
    return seen / POSES
