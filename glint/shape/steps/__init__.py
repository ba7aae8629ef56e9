"""Steps of building: a polyhedron goes in, and one with more faces, or fewer, comes out.

+z is up. Where only some of the faces are taken, they are the highest ones, so hang a body first
and then take the steps.
"""

from __future__ import annotations

from collections.abc import Iterable

from glint.schema.tables import StepTable
from glint.shape.polyhedron import Polyhedron, scaled, shortest_edge
from glint.shape.steps.capping import cap_faces
from glint.shape.steps.choose import MOST_PANELS, highest_faces
from glint.shape.steps.opening import open_faces
from glint.shape.steps.raising import raise_faces
from glint.shape.steps.spiking import spike_faces
from glint.shape.steps.splitting import split_faces

__all__ = [
    "MOST_PANELS",
    "apply_steps",
    "cap_faces",
    "highest_faces",
    "open_faces",
    "raise_faces",
    "spike_faces",
    "split_faces",
]

_SHORTER = 1 - 1e-9  # of the edge before; below it, edges are shorter for more than rounding


def apply_steps(body: Polyhedron, steps: Iterable[StepTable]) -> Polyhedron:
    """Every step in order. Raises ShapeError, which names the step by its number from 1.

    Where steps made shorter edges the body grows afterwards, until the shortest is as long as it
    was before.
    """
    before = shortest_edge(body)
    for number, step in enumerate(steps, start=1):
        body = _taken(body, step, f"shape.steps {number}")
    after = shortest_edge(body)
    return scaled(body, before / after) if after < before * _SHORTER else body


def _taken(body: Polyhedron, step: StepTable, key: str) -> Polyhedron:
    match step.do:
        case "raise":
            return raise_faces(body, step.sides, step.count, key)
        case "split":
            return split_faces(body, step.sides, step.frequency or 2, step.count, key)
        case "spike":
            return spike_faces(body, step.sides, step.levels or 1, step.count, key)
        case "cap":
            return cap_faces(body, step.sides, step.count, step.turned, key)
        case "open":
            return open_faces(body, step.sides, step.count or 1, key)
