"""The few figures that a search looks at, at few poses: quick enough to be tried many times."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.analysis.period import turn_of
from glint.analysis.uniformity import Cells, coefficient_of_variation
from glint.errors import GlintError
from glint.lighting.illumination import beams
from glint.lighting.spots import spots_of
from glint.lighting.visibility import quick_ambient, visible
from glint.scene.build import build
from glint.schema.tables import SceneFile

POSES, CELLS = 24, 200

NO_LAMP = (
    "a place is chosen for the spots of lamps, and this scene has strings alone: add a [[lamp]]; "
    "`glint measure` gives the figures of strings"
)


class Glance(NamedTuple):
    """Means over a turn. problem: why there are none, or "".

    cover: share of what is overhead that lies under visible spots, their areas added up
    passes: per second, on average over what is overhead
    """

    spots: float
    unevenness: float
    cover: float
    speed: float
    peak: float
    passes: float
    tiles: int
    problem: str = ""


def glance(file: SceneFile) -> Glance:
    """Look at a scene quickly. A scene that cannot be built is told of, not raised."""
    try:
        scene = build(file)
        if not scene.lamps:
            raise GlintError(NO_LAMP)
    except GlintError as error:
        nothing = math.nan
        return Glance(nothing, nothing, nothing, nothing, nothing, nothing, 0, str(error))
    turn = turn_of(scene)
    roof = scene.room.overhead
    cells = Cells(roof, CELLS)
    ambient = quick_ambient(turn.at(0.0))
    total, counts, cover, speeds, peaks, swept = 0, np.zeros(CELLS), 0.0, [], [], 0.0
    for pose in (turn.at(k / POSES) for k in range(POSES)):
        spots = visible(scene, spots_of(pose, beams(pose)[0]), ambient)
        above = spots.surface < scene.room.above
        total += len(spots.peak)
        counts += cells.counts(spots.point[above])
        cover += float(spots.area[above].sum())
        swept += float((spots.diameter * spots.speed)[above].sum())
        speeds.append(spots.speed)
        peaks.append(spots.peak)
    every_speed, every_peak = np.concatenate(speeds), np.concatenate(peaks)
    return Glance(
        spots=total / POSES,
        unevenness=coefficient_of_variation(counts),
        cover=cover / POSES / roof.area,
        speed=_ninetieth(every_speed),
        peak=_ninetieth(every_peak),
        passes=swept / POSES / roof.area,
        tiles=sum(len(ball.body.tile_sides) for ball in scene.balls),
    )


def _ninetieth(values: np.ndarray) -> float:
    return float(np.percentile(values, 90.0)) if len(values) else 0.0
