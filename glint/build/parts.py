"""Sub-assemblies: what is joined first, out of how many panels, and in which order.

The steps of the shape are gone through once more. Each makes one part of each face that it takes;
a part may hold parts that later steps made of its own panels.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from string import ascii_uppercase
from typing import NamedTuple

import numpy as np

from glint.schema.tables import HangTable, ShapeTable
from glint.shape.bases import BASES
from glint.shape.body import hung_base, panelled
from glint.shape.face_names import face_name
from glint.shape.polyhedron import Polyhedron, face_centres
from glint.shape.steps import Part, apply_steps, highest_faces

_LEVEL = 1e-6  # of the body's height: how near the axis a part is on it
_DECIMALS = 5  # of the body's height and of a radian, to which two parts are equally high
_FULL = round(2 * math.pi, _DECIMALS)


class Piece(NamedTuple):
    """One sub-assembly. tag: its letter and number, as "A3"; of: the tags of the parts in it, then
    the numbers on the net, from 1, of its own panels.
    """

    tag: str
    of: tuple[str, ...]


class Made(NamedTuple):
    """Parts that are all alike. letter: by which the sheet names them. number: how many. of: what
    each is made of, as ("triangle", 3) or ("A", 5), letters first. pieces: each of them.
    """

    letter: str
    name: str
    number: int
    of: tuple[tuple[str, int], ...]
    pieces: tuple[Piece, ...] = ()


class Row(NamedTuple):
    """Parts and single panels that come equally high in the body, as ("A", 5) or ("square", 4).
    pieces: their tags or panel numbers, in the same order, anticlockwise seen from above.
    """

    of: tuple[tuple[str, int], ...]
    pieces: tuple[str, ...]


class Parts(NamedTuple):
    """made: in the order to join them; rows: how they make the body, from the bottom up; tags: for
    each panel that of the innermost part that it lies in, or "".
    """

    made: tuple[Made, ...]
    rows: tuple[Row, ...]
    tags: tuple[str, ...]


class _Place(NamedTuple):
    """height: mean of some panels; azimuth: of their middle, rad from 0, 0 on the axis."""

    height: float
    azimuth: float


def parts_of(shape: ShapeTable, hang: HangTable) -> Parts:
    """The sub-assemblies of a shape, in joining order. None of a ring-laid ball, and of a geodesic
    sphere or a mesh neither: names would not tell their many kinds of panel apart.
    """
    if shape.base is None or BASES[shape.base].tiling != "glued":
        return Parts((), (), ())
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
    places = _places(final, owners)
    tags = _tagged(letters, places)
    made = tuple(row._replace(pieces=_pieces(row.letter, letters, tags, owners)) for row in made)
    of_panels = tuple("" if owner is None else tags[id(owner)] for owner in owners)
    return Parts(made, _rows(final, owners, letters, tags, places), of_panels)


def upward(body: Polyhedron) -> tuple[str, ...]:
    """Numbers of the panels, from 1, from the bottom up, and round where they are equally high."""
    places = [_place(body, [number]) for number in range(len(body.faces))]
    order = sorted(range(len(places)), key=places.__getitem__)
    return tuple(str(number + 1) for number in order)


def _outward(part: Part | None) -> list[Part]:
    """A part, the one that it lies in, and so on."""
    return [] if part is None else [part, *_outward(part.parent)]


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


def _place(body: Polyhedron, panels: Sequence[int]) -> _Place:
    """Rounded, so that parts equally high go round."""
    x, y, z = face_centres(body)[list(panels)].mean(axis=0)
    size = max(float(np.ptp(body.vertices[:, 2])), 1e-12)
    azimuth = math.atan2(y, x) % (2 * math.pi) if math.hypot(x, y) > _LEVEL * size else 0.0
    # Just under a full turn is 0, but for rounding.
    turn = round(azimuth, _DECIMALS)
    return _Place(round(float(z) / size, _DECIMALS), 0.0 if turn >= _FULL else turn)


def _places(body: Polyhedron, owners: Sequence[Part | None]) -> dict[int, _Place]:
    """Where each part is, by its identity, all its inner parts' panels counted."""
    panels: dict[int, list[int]] = {}
    for number, owner in enumerate(owners):
        for part in _outward(owner):
            panels.setdefault(id(part), []).append(number)
    return {part: _place(body, numbers) for part, numbers in panels.items()}


def _tagged(letters: dict[int, str], places: dict[int, _Place]) -> dict[int, str]:
    """A tag for every part, by its identity: each letter counted from the bottom up and round."""
    counts: Counter[str] = Counter()
    tags = {}
    for part in sorted(letters, key=places.__getitem__):
        counts[letters[part]] += 1
        tags[part] = f"{letters[part]}{counts[letters[part]]}"
    return tags


def _pieces(
    letter: str, letters: dict[int, str], tags: dict[int, str], owners: Sequence[Part | None]
) -> tuple[Piece, ...]:
    known = {id(part): part for owner in owners for part in _outward(owner)}
    mine = sorted((part for part in letters if letters[part] == letter), key=_by_number(tags))
    pieces = []
    for part in mine:
        inner = [id(child) for child in known[part].children if id(child) in tags]
        inner.sort(key=lambda child: (letters[child], _by_number(tags)(child)))
        own = [number for number, owner in enumerate(owners) if owner is known[part]]
        pieces.append(
            Piece(tags[part], (*(tags[child] for child in inner), *(str(n + 1) for n in own)))
        )
    return tuple(pieces)


def _by_number(tags: dict[int, str]) -> Callable[[int], int]:
    return lambda part: int(tags[part].lstrip(ascii_uppercase))


def _rows(
    body: Polyhedron,
    owners: Sequence[Part | None],
    letters: dict[int, str],
    tags: dict[int, str],
    places: dict[int, _Place],
) -> tuple[Row, ...]:
    """The outermost parts and the panels in none, by the mean height of their panels."""
    members: dict[int, tuple[_Place, str, str]] = {}
    for number, (face, owner) in enumerate(zip(body.faces, owners, strict=True)):
        if owner is None:
            place = _place(body, [number])
            members[-1 - number] = place, face_name(len(face)), str(number + 1)
        else:
            part = id(_outermost(owner))
            members[part] = places[part], letters[part], tags[part]
    rows: dict[float, list[tuple[str, float, str]]] = {}
    for place, name, tag in members.values():
        rows.setdefault(place.height, []).append((name, place.azimuth, tag))
    found = []
    for _, row in sorted(rows.items()):
        names = Counter(name for name, *_ in row)
        found.append(Row(tuple(sorted(names.items())), tuple(tag for *_, tag in sorted(row))))
    return tuple(found)
