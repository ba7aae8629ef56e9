"""What `glint place` may choose: whose number, and between which bounds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from glint.errors import Problem, in_words, listed, place, problem_at
from glint.schema.check_tile import check_tile
from glint.schema.describe import Bounds, bounds_of, range_in_words
from glint.schema.raw import Raw, ball_name, number, table, tables
from glint.schema.tables import (
    MOST_BALLS,
    FreeTable,
    HangTable,
    LampTable,
    MotionTable,
    ShapeTable,
    TileTable,
)

FREE_KEYS = {
    "ball": ("height_m", "x_m", "y_m", "rpm", "diameter_m", "panel_edge_mm"),
    "lamp": ("x_m", "y_m", "z_m", "aim_x_m", "aim_y_m", "aim_z_m", "beam_deg"),
}
"""What may be free of a ball, and of a lamp."""


def check_free(free: Raw, index: int, names: dict[str, list[Any]], scene: Raw) -> Iterator[Problem]:
    """Every problem of a number that is free, the index-th from 0.

    names: of the balls and of the lamps. scene: the whole file's tables.
    """
    yield from _bounds(free, index, names)
    yield from _panels(free, index, scene)


def _bounds(free: Raw, index: int, names: dict[str, list[Any]]) -> Iterator[Problem]:
    path = ("free", index)
    given = [kind for kind in FREE_KEYS if kind in free]
    if len(given) != 1:
        found = "both ball and lamp" if given else "neither ball nor lamp"
        yield Problem(place(path), found, "one of them: whose number is free")
        return
    kind = given[0]
    name, key, least, most = (free.get(part) for part in (kind, "key", "least", "most"))
    known = [known for known in names[kind] if isinstance(known, str)]
    if isinstance(name, str) and name not in known:
        yield problem_at((*path, kind), name, f"a {kind}'s name ({listed(known)})", known)
    if isinstance(key, str) and key not in FREE_KEYS[kind]:
        yield problem_at(
            (*path, "key"), key, f"of a {kind}: {listed(FREE_KEYS[kind])}", FREE_KEYS[kind]
        )
    if isinstance(least, int | float) and isinstance(most, int | float) and not least < most:
        yield problem_at((*path, "most"), most, f"a number above least = {in_words(least)}")
    elif isinstance(key, str) and key in FREE_KEYS[kind]:
        bounds = _of_key(key)
        for part, bound in (("least", least), ("most", most)):
            if isinstance(bound, int | float) and not bounds.holds(bound):
                allowed = f"what {key} may be: {range_in_words(bounds)}"
                yield problem_at((*path, part), bound, allowed)


def _of_key(key: str) -> Bounds:
    """What a free number may be by itself; a coordinate is one of at_m or aim."""
    for model in (HangTable, MotionTable, ShapeTable, TileTable, LampTable):
        if key in model.model_fields:
            return bounds_of(model.model_fields[key])
    furthest = bounds_of(HangTable.model_fields["height_m"]).most
    return Bounds(-furthest, furthest, above=False)


def _panels(free: Raw, index: int, scene: Raw) -> Iterator[Problem]:
    """A panel's edge must suit its tile and openings however short it is chosen."""
    if free.get("key") != "panel_edge_mm" or number(FreeTable, free, "least") is None:
        return
    for row, ball in tables(scene, "ball", MOST_BALLS):
        if free.get("ball") == ball_name(ball, row):
            tile = {**table(scene, "tile"), **table(ball, "tile")}
            shortest = tile | {"panel_edge_mm": free["least"]}
            for problem in check_tile(shortest, {}, ("tile",)):
                found = f"{in_words(free['least'])}, and then {problem.where} {problem.found}"
                yield Problem(place(("free", index, "least")), found, problem.allowed)
