"""Shapes in words: names of faces and bodies, and steps as they are written in a scene file."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from glint.schema.tables import StepTable

_FACES = {
    3: "triangle",
    4: "square",
    5: "pentagon",
    6: "hexagon",
    7: "heptagon",
    8: "octagon",
    9: "nonagon",
    10: "decagon",
    11: "hendecagon",
    12: "dodecagon",
}
_PRISMS = {
    3: "triangular",
    4: "square",
    5: "pentagonal",
    6: "hexagonal",
    7: "heptagonal",
    8: "octagonal",
    9: "nonagonal",
    10: "decagonal",
    11: "hendecagonal",
    12: "dodecagonal",
}


def face_name(sides: int) -> str:
    """What a polygon of so many sides is called."""
    return _FACES.get(sides, f"{sides}-sided polygon")


def counted(count: int, thing: str) -> str:
    """1 panel, 2 panels."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def faces_left(left: Mapping[int, int]) -> str:
    """How many faces of how many sides, as "12 faces of 5 sides"; left: {sides: count}."""
    each = [f"{counted(count, 'face')} of {sides} sides" for sides, count in sorted(left.items())]
    return " and ".join(each)


def base_in_words(base: str, sides: int | None = None) -> str:
    """The usual name of a base: "icosahedron", "pentagonal prism", "ring-laid ball"."""
    if base in ("prism", "antiprism") and sides is not None:
        return f"{_PRISMS[sides]} {base}"
    return {"rings": "ring-laid ball", "geodesic": "geodesic sphere"}.get(base, base)


def shape_in_words(base: str, sides: int | None, steps: Iterable[StepTable]) -> str:
    """A base and what was done to it: "dodecahedron, pentagons raised, 1 triangle open"."""
    return ", ".join([base_in_words(base, sides), *map(_step_in_words, steps)])


def step_as_toml(step: StepTable) -> str:
    """A step as an inline table of a scene file."""
    # Words, whole numbers and truth are written in JSON as they are in TOML.
    given = step.model_dump(exclude_defaults=True)
    return f"{{ {', '.join(f'{key} = {json.dumps(value)}' for key, value in given.items())} }}"


def steps_as_toml(steps: Iterable[StepTable]) -> str:
    """Steps as the value of `steps` in a scene file."""
    return f"[{', '.join(map(step_as_toml, steps))}]"


def _step_in_words(step: StepTable) -> str:
    face = _FACES[step.sides]
    if step.do == "open":
        return f"{counted(step.count or 1, face)} open"
    which = f"{face}s" if step.count is None else counted(step.count, face)
    match step.do:
        case "raise":
            return f"{which} raised"
        case "split":
            return f"{which} split by {step.frequency or 2}"
        case "spike":
            levels = step.levels or 1
            return f"{which} spiked" if levels == 1 else f"{which} spiked {levels} levels deep"
        case "cap":
            return f"{which} capped{', turned' if step.turned else ''}"
