"""One candidate studied: its measures, and the light for its pictures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from glint.analysis.measure import TOLERANCE, Measures, measure
from glint.errors import GlintError, SceneError
from glint.kernels.arrays import Beams
from glint.kernels.illuminance.light_map import add_beams
from glint.lighting.illumination import light
from glint.lighting.prepared import lighting_of
from glint.render.still import luminance
from glint.render.tone.mapping import auto_exposure
from glint.report.portrait import by_day, in_its_light
from glint.room.charts import chart_of
from glint.scene.build import build
from glint.scene.scene import Pose
from glint.schema.tables import SceneFile

SIZE = 288
"""Width of a picture, pixels."""

EXPOSED = 256
"""Most poses that a long exposure is made of."""


@dataclass(frozen=True)
class Question:
    """What is asked of one worker. pictures: whether pictures are wanted too."""

    file: SceneFile
    pictures: bool
    tolerance: float = TOLERANCE


@dataclass(frozen=True)
class Answer:
    """What came back: measures, or else why there are none.

    ball: (h, w, 3) uint8 sRGB, by day; lit: (h, w, 3) float32, cd/m**2, the ball in its light
    instant: (h, w, 3) float32, cd/m**2, what is overhead at one instant; turn: (h, w, 3) float32,
    the mirrors' light alone on average over a turn; exposure: what suits the mirrors' light of the
    instant; round: whether the pictures of what is overhead are. None where none were asked for
    """

    title: str
    problem: str = ""
    measures: Measures | None = None
    ball: NDArray[np.uint8] | None = None
    lit: NDArray[np.float32] | None = None
    instant: NDArray[np.float32] | None = None
    turn: NDArray[np.float32] | None = None
    exposure: float = 1.0
    round: bool = True


def answer(question: Question) -> Answer:
    """Measure one scene; what makes it impossible is told, not raised: the others go on."""
    title = question.file.title
    try:
        scene = build(question.file)
        if not question.pictures:
            return Answer(title, measures=measure(scene, question.tolerance))
        exposure = _Exposure()
        measures = measure(scene, question.tolerance, see=exposure.add)
    except GlintError as error:
        return Answer(title, problem=_in_one_line(error))
    balls = by_day(scene, SIZE), in_its_light(scene, SIZE)
    is_round = scene.room.surfaces[0].kind != "flat"
    return Answer(title, "", measures, *balls, *exposure.maps(), is_round)


def _in_one_line(error: GlintError) -> str:
    """What is wrong; of the scene's file the name alone, as reports are passed on."""
    if isinstance(error, SceneError):
        error = SceneError(Path(error.file).name, error.problems, error.more)
    return str(error).replace("\n", "; ")


class _Exposure:
    """The mirrors' light overhead, added up over the poses that the measures take."""

    def __init__(self) -> None:
        self.total: NDArray[np.float32] | None = None
        self.number = 0
        self.first: Pose | None = None
        self.first_lux: NDArray[np.float32] | None = None

    def add(self, share: float, pose: Pose, found: Beams) -> None:
        """Expose for one pose; of very many, for those evenly spread among them."""
        if share * EXPOSED % 1.0:
            return
        roof = pose.scene.room.surfaces[0]
        chart = chart_of(roof, SIZE)
        lux = np.zeros((*chart.size, 3), np.float32)
        lighting = lighting_of(pose.scene)
        add_beams(found, lighting.lamp_arrays, chart, lux, lighting.blocks(roof, SIZE))
        if self.total is None:
            self.total, self.first, self.first_lux = np.zeros_like(lux), pose, lux
        self.total += lux
        self.number += 1

    def maps(self) -> tuple[NDArray[np.float32], NDArray[np.float32], float]:
        """Luminance at the first pose, that of mirrors over the turn, and an exposure.

        In a long exposure the ambient would drown all but the brightest trails: it is left out.
        """
        assert self.first is not None and self.total is not None and self.first_lux is not None
        still = light(self.first, SIZE)[self.first.scene.room.surfaces[0].name]
        dark = replace(still, ambient=np.zeros(3))
        exposure = auto_exposure(luminance(replace(still, lux=self.first_lux)))
        return luminance(still), luminance(replace(dark, lux=self.total / self.number)), exposure
