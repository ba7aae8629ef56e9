"""The few figures that a search looks at, at few poses: quick enough to be tried many times."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.rig.audit import audit
from glint.rig.light import beams
from glint.rig.scene import build
from glint.scene.errors import GlintError
from glint.scene.model import SceneFile
from glint.study.cells import Cells, coefficient_of_variation, dome_of
from glint.study.energy import ambient_of
from glint.study.spots import spots_of
from glint.study.turn import turn_of

POSES = 24
TEXELS = 128
"""Width of the maps that the ambient is found from, once a scene: it is right to 1 %."""


class Glance(NamedTuple):
    """Means over a turn. problem: why there are none, or "".

    cover: share of the dome under visible spots, their areas added up
    passes: per second, on average over the dome
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
        dome = dome_of(scene.room)
    except GlintError as error:
        nothing = math.nan
        return Glance(nothing, nothing, nothing, nothing, nothing, nothing, 0, str(error))
    turn = turn_of(scene)
    cells = Cells(dome, 200)
    first = turn.at(0.0)
    least = scene.file.visible_contrast * ambient_of(scene, audit(first, TEXELS))
    total, counts, cover, speeds, peaks, swept = 0, np.zeros(200), 0.0, [], [], 0.0
    for pose in (turn.at(k / POSES) for k in range(POSES)):
        spots = spots_of(pose, beams(pose)[0])
        shown = spots.peak >= max(least, 1e-12)
        above = shown & (spots.surface == 0)
        total += int(shown.sum())
        counts += cells.counts(spots.point[above])
        cover += float(spots.area[above].sum())
        swept += float((spots.diameter * spots.speed)[above].sum())
        speeds.append(spots.speed[shown])
        peaks.append(spots.peak[shown])
    every_speed, every_peak = np.concatenate(speeds), np.concatenate(peaks)
    return Glance(
        spots=total / POSES,
        unevenness=coefficient_of_variation(counts),
        cover=cover / POSES / dome.area,
        speed=_ninetieth(every_speed),
        peak=_ninetieth(every_peak),
        passes=swept / POSES / dome.area,
        tiles=sum(len(ball.body.tile_sides) for ball in scene.balls),
    )


def _ninetieth(values: np.ndarray) -> float:
    return float(np.percentile(values, 90.0)) if len(values) else 0.0
