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
from glint.lighting.strings.maps import IncrementalStringMap
from glint.render.still import seen_together
from glint.render.tone.mapping import auto_exposure
from glint.report.portrait import by_day, in_its_light
from glint.room.charts import chart_of
from glint.room.surfaces.rectangle import Rectangle
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
    the light of mirrors and strings alone on average over a turn; exposure: what suits the instant
    round: whether the pictures of what is overhead are. None where none were asked for
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
    is_round = not isinstance(scene.room.overhead.outer, Rectangle)
    return Answer(title, "", measures, *balls, *exposure.maps(), is_round)


def _in_one_line(error: GlintError) -> str:
    """What is wrong; of the scene's file the name alone, as reports are passed on."""
    if isinstance(error, SceneError):
        error = SceneError(Path(error.file).name, error.problems, error.more)
    return str(error).replace("\n", "; ")


class _Exposure:
    """The light of mirrors and strings overhead, added up over the poses that the measures take."""

    def __init__(self) -> None:
        self.strings: dict[str, IncrementalStringMap] = {}
        self.total: dict[str, NDArray[np.float32]] = {}
        self.number = 0
        self.first: Pose | None = None
        self.first_lux: dict[str, NDArray[np.float32]] = {}

    def add(self, share: float, pose: Pose, found: Beams) -> None:
        """Expose for one pose; of very many, for those evenly spread among them."""
        if share * EXPOSED % 1.0:
            return
        lighting = lighting_of(pose.scene)
        for part in pose.scene.room.overhead.parts:
            chart = chart_of(part, SIZE)
            lux = np.zeros((*chart.size, 3), np.float32)
            add_beams(found, lighting.lamp_arrays, chart, lux, lighting.blocks(part, SIZE))
            if part.name not in self.strings:
                self.strings[part.name] = IncrementalStringMap(pose.scene, part, SIZE)
            self.strings[part.name].add([pose], lux)
            if not self.number:
                self.total[part.name], self.first_lux[part.name] = np.zeros_like(lux), lux
            self.total[part.name] += lux
        self.first = self.first or pose
        self.number += 1

    def maps(self) -> tuple[NDArray[np.float32], NDArray[np.float32], float]:
        """Luminance at the first pose, that of mirrors and strings over the turn, and an exposure.

        In a long exposure the ambient would drown all but the brightest trails: it is left out.
        """
        assert self.first is not None
        names = self.first.scene.room.overhead.names
        still = light(self.first, SIZE)
        instant = {name: replace(still[name], lux=self.first_lux[name]) for name in names}
        dark = {
            name: replace(still[name], ambient=np.zeros(3), lux=self.total[name] / self.number)
            for name in names
        }
        exposure = auto_exposure(seen_together(instant, names))
        return seen_together(still, names), seen_together(dark, names), exposure
