"""Steps of building: a polyhedron goes in, and one with more faces, or fewer, comes out.

+z is up. Where only some of the faces are taken, they are the highest ones, so hang a body first
and then take the steps. A new step is a file of this folder, as `step` tells.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, TypeAdapter

from glint.discovery import import_all
from glint.shape.polyhedron import Polyhedron, scaled, shortest_edge
from glint.shape.steps.choose import MOST_PANELS, highest_faces
from glint.shape.steps.step import STEPS, Part, Step

__all__ = [
    "MOST_PANELS",
    "MOST_STEPS",
    "STEPS",
    "AnyStep",
    "Part",
    "Step",
    "apply_steps",
    "highest_faces",
    "step_of",
]

MOST_STEPS = 16
_SHORTER = 1 - 1e-9  # of the edge before; below it, edges are shorter for more than rounding

import_all(__name__, __path__)

if TYPE_CHECKING:
    AnyStep = Step
else:
    AnyStep = Annotated[reduce(or_, STEPS.values()), Field(discriminator=Step.kind_key)]

_READER: TypeAdapter[Step] = TypeAdapter(AnyStep)


def step_of(**keys: Any) -> Step:
    """A step from its keys in a scene file. Raises pydantic.ValidationError."""
    return _READER.validate_python(keys)


def apply_steps(body: Polyhedron, steps: Iterable[Step]) -> Polyhedron:
    """Every step in order. Raises ShapeError, which names the step by its number from 1.

    Where steps made shorter edges the body grows afterwards, until the shortest is as long as it
    was before.
    """
    before = shortest_edge(body)
    for number, step in enumerate(steps, start=1):
        body = step.apply(body, f"shape.steps {number}")
    after = shortest_edge(body)
    return scaled(body, before / after) if after < before * _SHORTER else body
