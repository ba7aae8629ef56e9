"""Sub-assemblies: what is joined first, out of how many panels, and in which order.

The steps of the shape are gone through once more. Each makes one part of each face that it takes;
a part may hold parts that later steps made of its own panels.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from glint.schema.tables import HangTable, ShapeTable
from glint.shape.bases import BASES
from glint.shape.body import hung_base, panelled
from glint.shape.face_names import face_name
from glint.shape.polyhedron import Polyhedron, face_centres
from glint.shape.steps import Part, apply_steps, highest_faces

_LEVEL = 1e-6  # of the body's height, to which two parts are equally high


class Made(NamedTuple):
    """Parts that are all alike. letter: by which the sheet names them. number: how many. of: what
    each is made of, as ("triangle", 3) or ("A", 5), letters first.
    """

    letter: str
    name: str
    number: int
    of: tuple[tuple[str, int], ...]


class Row(NamedTuple):
    """Parts and single panels that come equally high in the body, as ("A", 5) or ("square", 4)."""

    of: tuple[tuple[str, int], ...]


class Parts(NamedTuple):
    """made: in the order to join them; rows: how they make the body, from the bottom up."""

    made: tuple[Made, ...]
    rows: tuple[Row, ...]


def parts_of(shape: ShapeTable, hang: HangTable) -> Parts:
    """The sub-assemblies of a shape, in joining order. None of a ring-laid ball, and of a geodesic
    sphere or a mesh neither: names would not tell their many kinds of panel apart.
    """
    if shape.base is None or BASES[shape.base].tiling != "glued":
        return Parts((), ())
    base = hung_base(shape, hang)
    bodies = [apply_steps(base, shape.steps[:taken]) for taken in range(len(shape.steps) + 1)]
    owners: list[Part | None] = [None] * len(bodies[0].faces)
    parts: list[Part] = []
    for step, before, after in zip(shape.steps, bodies[:-1], bodies[1:], strict=True):
        chosen = highest_faces(before, step.sides, step.number)
        kept = [owner for i, owner in enumerate(owners) if i not in set(chosen)]
        fresh = [step.parts(owners[i]) for i in chosen]
        parts += [part for family in fresh for part in family]
        news = len(after.faces) - len(kept)
        owners = kept + step.owners(fresh, news)
    final = panelled(shape, hang)
    for face, owner in zip(final.faces, owners, strict=True):
        if owner is not None:
            owner.panels[face_name(len(face))] += 1
    letters, made = _lettered([root for part in parts if _panels_in(root := _outermost(part))])
    return Parts(made, _rows(final, owners, letters))


def _outermost(part: Part) -> Part:
    return part if part.parent is None else _outermost(part.parent)


def _panels_in(part: Part) -> int:
    return part.panels.total() + sum(_panels_in(child) for child in part.children)


def _lettered(parts: Sequence[Part]) -> tuple[dict[int, str], tuple[Made, ...]]:
    """A letter for every part, by its identity, alike for parts alike; and the parts, deepest
    first.
    """
    letters: dict[int, str] = {}
    known: dict[tuple[object, ...], int] = {}
    rows: list[Made] = []

    def visit(part: Part) -> str:
        if id(part) in letters:
            return letters[id(part)]
        inner = Counter(visit(child) for child in part.children if _panels_in(child))
        of = (*sorted(inner.items()), *sorted(part.panels.items(), reverse=True))
        place = known.setdefault((part.name, of), len(rows))
        if place == len(rows):
            rows.append(Made(letter(place), part.name, 0, of))
        rows[place] = rows[place]._replace(number=rows[place].number + 1)
        letters[id(part)] = rows[place].letter
        return letters[id(part)]

    for part in parts:
        visit(part)
    return letters, tuple(rows)


def letter(place: int) -> str:
    """A, B ... Z, AA, AB ...; place: from 0."""
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _rows(
    body: Polyhedron, owners: Sequence[Part | None], letters: dict[int, str]
) -> tuple[Row, ...]:
    """The outermost parts and the panels in none, by the mean height of their panels."""
    heights = face_centres(body)[:, 2]
    near = _LEVEL * max(float(np.ptp(body.vertices[:, 2])), 1e-12)
    members: dict[object, list[float]] = {}
    names: dict[object, str] = {}
    for number, (face, owner) in enumerate(zip(body.faces, owners, strict=True)):
        owner = None if owner is None else _outermost(owner)
        key: object = number if owner is None else owner
        names[key] = face_name(len(face)) if owner is None else letters[id(owner)]
        members.setdefault(key, []).append(float(heights[number]))
    ordered = sorted((sum(z) / len(z), names[key]) for key, z in members.items())
    rows: list[Counter[str]] = []
    last = -np.inf
    for height, name in ordered:
        if height - last > near:
            rows.append(Counter())
        rows[-1][name] += 1
        last = height
    return tuple(Row(tuple(sorted(row.items()))) for row in rows)
