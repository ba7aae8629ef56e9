"""What would make a shape of the catalogue one that can be built."""

from __future__ import annotations

import tomllib

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.buildable import require_buildable
from glint.shape.catalogue import Entry
from glint.shape.steps import apply_steps, step_of


def remedy(entry: Entry) -> str:
    """In words, the steps to add as a scene file has them; "" where nothing is wrong."""
    if entry.buildable:
        return ""
    steps = tomllib.loads(f"steps = {entry.steps}")["steps"]
    body = apply_steps(solid(entry.base, entry.sides), [step_of(**step) for step in steps])
    try:
        require_buildable(body)
    except ShapeError as error:
        return error.allowed
    return ""
