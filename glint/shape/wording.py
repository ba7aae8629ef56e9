"""Shapes in words, and steps as they are written in a scene file."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from glint.shape.bases import BASES
from glint.shape.steps import Step


def base_in_words(base: str, sides: int | None = None) -> str:
    """The usual name of a base: "icosahedron", "pentagonal prism", "ring-laid ball"."""
    return BASES[base].in_words(sides)


def shape_in_words(base: str, sides: int | None, steps: Iterable[Step]) -> str:
    """A base and what was done to it: "dodecahedron, pentagons raised, 1 triangle open"."""
    return ", ".join([base_in_words(base, sides), *(step.in_words() for step in steps)])


def step_as_table(step: Step) -> dict[str, Any]:
    """The keys of a step in a scene file."""
    return {"do": step.do, **step.model_dump(exclude_unset=True, exclude_none=True)}


def step_as_toml(step: Step) -> str:
    """A step as an inline table of a scene file."""
    given = step_as_table(step)
    # Words, whole numbers and truth are written in JSON as they are in TOML.
    return f"{{ {', '.join(f'{key} = {json.dumps(value)}' for key, value in given.items())} }}"


def steps_as_toml(steps: Iterable[Step]) -> str:
    """Steps as the value of `steps` in a scene file."""
    return f"[{', '.join(map(step_as_toml, steps))}]"


def shape_as_toml(base: str, sides: int | None, steps: str) -> str:
    """A shape as an inline table of a scene file; steps: as `steps_as_toml` writes them."""
    keys = [f"base = {json.dumps(base)}"]
    if sides is not None:
        keys.append(f"sides = {sides}")
    if steps != "[]":
        keys.append(f"steps = {steps}")
    return f"{{ {', '.join(keys)} }}"
