"""What `glint stock` prints: tables and sets, as text or as figures."""

from __future__ import annotations

import sys
from typing import Any, NamedTuple

import click

from glint.build.effort import Effort, together
from glint.build.reference import Count
from glint.build.sets import Choice
from glint.build.stock import Cover, Shortage, Stock
from glint.cli.printing import Column, print_table, rounded
from glint.shape.catalogue import Entry
from glint.shape.gluing import Gluing

SHAPES = (
    Column("name", "shape"),
    Column("triangles", "tri-", "angles"),
    Column("squares", "squa-", "res"),
    Column("times", "times", "over"),
    Column("triangles_left", "triangles left", spare=True),
    Column("squares_left", "squares left", spare=True),
    Column("spots", "spots"),
    Column("weight_kg", "weight", "kg"),
    Column("gluing_h", "gluing", "h"),
    Column("diameter_m", "across", "m"),
)
LINE = Column("line", "line")
"""Too long for a terminal; there it stands below each set."""

UNFIT = (Column("name", "cannot be glued"), Column("says", "why, and what fits"))


class Found(NamedTuple):
    """All that was found out. efforts, spots: by the shapes' names; spots: None if they were not
    counted. nowhere: shapes that are too large to hang in the scene, and why. unfit: shapes that
    cannot be glued.
    """

    stock: Stock
    aim: str
    most_balls: int
    least_tiles: int
    covers: list[Cover]
    efforts: dict[str, Effort]
    spots: dict[str, Count] | None
    sets: list[Choice]
    missing: list[Shortage]
    nowhere: list[tuple[Entry, str]]
    unfit: list[tuple[Entry, Gluing]]


def as_figures(found: Found) -> dict[str, Any]:
    """Everything as plain tables for JSON."""
    return {
        **found.stock._asdict(),
        "usable": dict(zip(("triangles", "squares"), found.stock.usable, strict=True)),
        "aim": found.aim,
        "most_balls": found.most_balls,
        "least_tiles": found.least_tiles,
        "shapes": [_cover_figures(found, row) for row in found.covers],
        "sets": [_set_figures(found, choice) for choice in found.sets],
        "short": [
            {"name": row.entry.name, "triangles": row.triangles, "squares": row.squares}
            for row in found.missing
        ],
        "too_large": [{"name": entry.name, "problem": why} for entry, why in found.nowhere],
        "cannot_be_glued": [
            {
                "name": entry.name,
                "line": entry.line,
                "collisions": fit.collisions,
                "why": fit.says,
                **fit.remedies,
            }
            for entry, fit in found.unfit
        ],
    }


def print_found(found: Found, aim: str, tiles: str, list_unfit: bool) -> None:
    """Tables and sets as text. aim, tiles: in words."""
    if found.covers:
        columns = [c for c in SHAPES if c.key != "spots" or found.spots is not None]
        columns += [] if sys.stdout.isatty() else [LINE]
        rows = [_cover_figures(found, row) for row in found.covers]
        title = f"From {counted_tiles(*found.stock.usable)}"
        print_table(columns, (tuple(row[c.key] for c in columns) for row in rows), title)
        click.echo()
        for number, choice in enumerate(found.sets):
            click.echo(_in_words(found, choice, aim if number == 0 else "or"))
    elif not found.nowhere:
        click.echo(_nothing(found))
        for row in found.missing:
            short = counted_tiles(row.triangles, row.squares)
            click.echo(f"  {row.entry.name}: {short} short")
    for entry, why in found.nowhere:
        click.echo(f"too large to hang there: {entry.name} ({why})")
    if not found.unfit:
        return
    if list_unfit:
        click.echo()
        print_table(UNFIT, ((entry.name, fit.says) for entry, fit in found.unfit))
    else:
        more = "1 shape more" if len(found.unfit) == 1 else f"{len(found.unfit)} shapes more"
        click.echo(f"{more} cannot be glued with {tiles}; --unfit lists what fits on them")


def counted_tiles(triangles: int, squares: int) -> str:
    """As "12 triangles and 1 square", "none" for no tiles."""
    parts = [
        f"{n} {kind}{'' if n == 1 else 's'}"
        for n, kind in ((triangles, "triangle"), (squares, "square"))
        if n
    ]
    return " and ".join(parts) or "none"


def _cover_figures(found: Found, row: Cover) -> dict[str, Any]:
    entry = row.entry
    return {
        "name": entry.name,
        "base": entry.base,
        "sides": entry.sides,
        "steps": entry.steps,
        "line": entry.line,
        "triangles": entry.triangles,
        "squares": entry.squares,
        "times": row.times,
        "triangles_left": row.triangles_left,
        "squares_left": row.squares_left,
        **_spots(found, [(entry, 1)]),
        **_effort_figures(found.efforts[entry.name]),
    }


def _set_figures(found: Found, choice: Choice) -> dict[str, Any]:
    return {
        "value": choice.value,
        "shapes": [
            {
                "name": entry.name,
                "count": n,
                "line": entry.line,
                **_spots(found, [(entry, 1)]),
                **_effort_figures(found.efforts[entry.name]),
            }
            for entry, n in choice.shapes
        ],
        "balls": sum(n for _, n in choice.shapes),
        "tiles": sum((entry.triangles + entry.squares) * n for entry, n in choice.shapes),
        "triangles_left": choice.triangles_left,
        "squares_left": choice.squares_left,
        **_spots(found, choice.shapes),
        **_effort_figures(_whole(found, choice)),
    }


def _whole(found: Found, choice: Choice) -> Effort:
    return together((found.efforts[entry.name], n) for entry, n in choice.shapes)


def _spots(found: Found, shapes: Any) -> dict[str, int]:
    if found.spots is None:
        return {}
    return {"spots": sum((found.spots[entry.name].spots or 0) * n for entry, n in shapes)}


def _effort_figures(effort: Effort) -> dict[str, float]:
    return {
        "weight_kg": effort.kg,
        "gluing_h": effort.gluing_h,
        "diameter_m": effort.diameter,
    }


def _in_words(found: Found, choice: Choice, title: str) -> str:
    figures = _set_figures(found, choice)
    balls = "1 ball" if figures["balls"] == 1 else f"{figures['balls']} balls"
    lines = [f"{title}: {choice.value}", f"  {balls}, {_amounts(figures, 'largest ')}"]
    for (entry, _), one in zip(choice.shapes, figures["shapes"], strict=True):
        tiles = entry.triangles + entry.squares
        lines.append(f"  {one['count']} × {one['name']}")
        lines.append(f"      {_amounts({**one, 'tiles': tiles})}")
        lines.append(f"      {one['line']}")
    lines.append(f"  left: {counted_tiles(choice.triangles_left, choice.squares_left)}")
    return "\n".join(lines)


def _amounts(figures: dict[str, Any], which: str = "") -> str:
    spots = f", {figures['spots']} visible spots" if "spots" in figures else ""
    kg, hours, across = (rounded(figures[key]) for key in ("weight_kg", "gluing_h", "diameter_m"))
    tiles = f"{figures['tiles']} tiles{spots}"
    return f"{tiles}, {kg} kg, {hours} h of gluing, {which}{across} m across"


def _nothing(found: Found) -> str:
    stock = found.stock
    kept = f", {stock.spare:g} % kept for breakage," if stock.spare else ""
    tiles = counted_tiles(stock.triangles, stock.squares)
    of = f" of at least {found.least_tiles} tiles" if found.least_tiles > 1 else ""
    return f"{tiles}{kept} make no shape of the catalogue{of}; nearest:"
