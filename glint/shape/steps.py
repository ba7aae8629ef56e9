"""Steps of building: a polyhedron goes in, and one with more faces, or fewer, comes out.

+z is up. Where only some of the faces are taken, they are the highest ones, so hang a body first
and then take the steps.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from glint.scene.errors import ShapeError
from glint.scene.model import StepTable
from glint.shape import polygons
from glint.shape.polyhedron import Polyhedron, face_centres
from glint.shape.wording import counted

MOST_PANELS = 2000
"""Panels at which raising stops: more than anybody glues, and fewer than fill the memory."""

_FLAT = 6
_LEVEL = 9  # decimals, in edges, to which two faces are equally high


def apply_steps(body: Polyhedron, steps: Iterable[StepTable]) -> Polyhedron:
    """Every step in order. Raises ShapeError, which names the step by its number from 1."""
    for number, step in enumerate(steps, start=1):
        key = f"shape.steps {number}"
        if step.do == "raise":
            body = raise_faces(body, step.sides, step.count, key)
        else:
            body = open_faces(body, step.sides, step.count or 1, key)
    return body


def raise_faces(
    body: Polyhedron, sides: int, count: int | None = None, key: str = "shape.steps"
) -> Polyhedron:
    """A pyramid of equilateral triangles outward on each regular face of 3, 4 or 5 sides.

    count: how many faces, the highest first; None for all. The triangles come last in `faces`.
    Raises ShapeError where no such pyramid stands, or no such face is.
    """
    if sides >= _FLAT:
        why = "lie flat" if sides == _FLAT else "do not meet"
        allowed = f"3, 4 or 5 (equilateral triangles on {sides} sides {why})"
        raise ShapeError(f"{key} sides", str(sides), allowed)
    chosen = highest_faces(body, sides, count, key)
    total = len(body.faces) + (sides - 1) * len(chosen)
    if total > MOST_PANELS:
        raise ShapeError(key, counted(total, "panel"), f"at most {MOST_PANELS} panels")
    bases = polygons.gather(body.vertices, [body.faces[i] for i in chosen])
    edges = np.linalg.norm(bases.corners[:, 1] - bases.corners[:, 0], axis=1)
    # A slant edge is as long as the base's, whose corners lie 1 / (2 sin(pi / sides)) off the axis.
    heights = edges * math.sqrt(1.0 - 0.25 / math.sin(math.pi / sides) ** 2)
    apexes = polygons.centres(bases) + polygons.normals(bases) * heights[:, None]
    slopes = [
        (start, end, len(body.vertices) + place)
        for place, i in enumerate(chosen)
        for start, end in zip(body.faces[i], np.roll(body.faces[i], -1).tolist(), strict=True)
    ]
    vertices = np.concatenate([body.vertices, apexes])
    return replace(body, vertices=vertices, faces=(*_without(body.faces, chosen), *slopes))


def open_faces(
    body: Polyhedron, sides: int, count: int = 1, key: str = "shape.steps"
) -> Polyhedron:
    """Leave off `count` faces, the highest first. Raises ShapeError where there are not that many,
    or no others.
    """
    chosen = highest_faces(body, sides, count, key)
    if len(chosen) == len(body.faces):
        raise ShapeError(
            f"{key} count", str(count), f"at most {count - 1}, so that a panel is left"
        )
    left_off = (*body.open_faces, *(body.faces[i] for i in chosen))
    return replace(body, faces=_without(body.faces, chosen), open_faces=left_off)


def highest_faces(
    body: Polyhedron, sides: int, count: int | None, key: str = "shape.steps"
) -> list[int]:
    """Numbers of the `count` highest faces with that many sides, all of them for None.

    Of faces equally high the one furthest towards +x comes first, then towards +y. Raises
    ShapeError where there are not that many.
    """
    kinds = Counter(len(face) for face in body.faces)
    if not kinds[sides]:
        there = ", ".join(str(kind) for kind in sorted(kinds))
        raise ShapeError(f"{key} sides", str(sides), f"the sides of a face that is there: {there}")
    if count is not None and count > kinds[sides]:
        allowed = f"1 to {kinds[sides]}, the faces of {sides} sides that are there"
        raise ShapeError(f"{key} count", str(count), allowed)
    matching = np.array([i for i, face in enumerate(body.faces) if len(face) == sides])
    x, y, z = np.round(face_centres(body)[matching], _LEVEL).T
    return matching[np.lexsort((-y, -x, -z))][:count].tolist()


def _without(faces: tuple[tuple[int, ...], ...], gone: list[int]) -> tuple[tuple[int, ...], ...]:
    dropped = set(gone)
    return tuple(face for i, face in enumerate(faces) if i not in dropped)
