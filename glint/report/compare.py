"""Several scenes studied side by side, each by a worker of its own."""

from __future__ import annotations

from collections.abc import Sequence

from glint.analysis.candidates import told_apart
from glint.analysis.measure import TOLERANCE
from glint.errors import require_kind
from glint.parallel.executors import Tell, Workers, run
from glint.report.candidate import Answer, Question, answer
from glint.scene.scene import Scene
from glint.schema.tables import SceneFile


def compare(
    scenes: Sequence[SceneFile | Scene],
    workers: Workers | None = None,
    pictures: bool = False,
    tolerance: float = TOLERANCE,
    tell: Tell = lambda done, total: None,
) -> list[Answer]:
    """An answer for each scene or scene file, in their order; the same on any number of workers.

    Scenes of equal title are told apart by the names of their files. Nothing is kept from one run
    to the next, so no result can be stale.
    """
    for scene in scenes:
        require_kind("scenes", scene, SceneFile | Scene, "scenes, as glint.load makes them")
    files = [scene.source if isinstance(scene, Scene) else scene for scene in scenes]
    questions = [Question(file, pictures, tolerance) for file in told_apart(files)]
    return run(answer, questions, workers, tell)
