"""Shapes that can be built, nearly all of them, and about how large they come out."""

from __future__ import annotations

import functools
import tomllib
from random import Random
from typing import NamedTuple

from glint.shape.catalogue import catalogue
from tests.fuzz.toml import Tables

MOST_SPLIT = 40
"""Panels of a body that is split: more would take long."""


class Made(NamedTuple):
    """A shape with the sides that its panels may have.

    radius: about, in edges of its panels; 0 where `shape` says the diameter
    """

    shape: Tables
    radius: float
    kinds: frozenset[int]


def shape(r: Random) -> Made:
    """A shape of the catalogue, a geodesic sphere, or now and then a ring-laid ball."""
    way = r.random()
    if way < 0.1:
        rings = {"base": "rings", "diameter_m": r.choice([0.1, 0.3])}
        if r.random() < 0.5:
            rings["gap_mm"] = r.choice([0.0, 0.5, 5.0])
        return Made(rings, 0.0, frozenset())
    if way < 0.3:
        often = r.choice([1, 2, 3, 4, 5, 6, 8])
        sphere = {"base": "geodesic", "diameter_m": r.choice([0.4, 1.0]), "frequency": often}
        if r.random() < 0.3:
            sphere["steps"] = [{"do": "open", "sides": 3, "count": r.choice([1, 2, 5])}]
        return Made(sphere, 0.0, frozenset({3}))
    base, radius, kinds, count = r.choice(_ready())
    made = {key: value for key, value in base.items() if key != "steps"}
    steps = [dict(step) for step in base.get("steps", ())]
    way = r.random()
    if way < 0.15 and count <= MOST_SPLIT:  # both kinds split alike, or what is left would differ
        parts = 3 if count <= 12 and r.random() < 0.3 else 2
        steps += [{"do": "split", "sides": sides, "frequency": parts} for sides in sorted(kinds)]
        radius *= parts
    if 0.1 < way < 0.35:
        step = {"do": "open", "sides": r.choice(sorted(kinds))}
        steps.append(step if r.random() < 0.5 else step | {"count": r.choice([1, 2])})
    elif way > 0.95 and 3 in kinds:
        steps.append({"do": r.choice(["raise", "spike"]), "sides": 3, "count": 1})
    return Made(made | ({"steps": steps} if steps else {}), radius, kinds)


@functools.cache
def _ready() -> list[tuple[Tables, float, frozenset[int], int]]:
    """Shapes of the catalogue that need nothing more, and are not too large to be quick."""
    found = []
    for entry in catalogue():
        if not entry.buildable or entry.triangles + entry.squares > 120:
            continue
        tables: Tables = {"base": entry.base}
        if entry.sides is not None:
            tables["sides"] = entry.sides
        if entry.steps:
            tables["steps"] = tomllib.loads(f"steps = {entry.steps}")["steps"]
        counts = {3: entry.triangles, 4: entry.squares}
        found.append(
            (
                tables,
                0.5 * entry.diameter,
                frozenset(k for k in counts if counts[k]),
                entry.triangles + entry.squares,
            )
        )
    return found
