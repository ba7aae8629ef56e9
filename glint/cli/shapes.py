"""`glint shapes`: the catalogue of shapes."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from glint.cli.mistakes import Number
from glint.cli.options import AS_JSON, PROGRESS
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working

if TYPE_CHECKING:
    from glint.shape.catalogue import Entry

SIZES = (
    Column("name", "shape"),
    Column("triangles", "triangles"),
    Column("squares", "squares"),
    Column("diameter_m", "diameter", "m"),
    Column("symmetry", "alike in a turn", "by vertex/face/edge"),
    Column("remarks", "to know"),
)
WANTS = (
    Column("name", "shape"),
    Column("needs", "what is wrong"),
    Column("remedy", "what fills it"),
)


@click.command()
@click.option(
    "--panel-edge",
    type=Number(1.0, 2000.0),
    metavar="MM",
    help="Edge of the panels, mm; default: 32.",
)
@AS_JSON
@PROGRESS
def shapes(panel_edge: float | None, as_json: bool) -> None:
    """List the catalogue: what each shape takes, and how large it gets.

    Also how often a body looks the same in a turn, hung by a vertex, a face or an edge, and what
    to know before it is built: joints that lie flat, tips that touch. Shapes that cannot be built
    as they are come last, with what fills them.

    Example: glint shapes --panel-edge 40
    """
    from glint.schema.tables import TileTable
    from glint.shape.catalogue import catalogue

    edge_mm = TileTable().panel_edge_mm if panel_edge is None else panel_edge
    with working("building every shape"):
        found = [_figures(entry, edge_mm / 1000.0) for entry in catalogue()]
    if as_json:
        print_json({"panel_edge_mm": edge_mm, "shapes": found})
        return
    unfit = [shape for shape in found if not shape["buildable"]]
    if sys.stdout.isatty():
        fit = [shape for shape in found if shape["buildable"]]
        print_table(SIZES, map(_sizes, fit), f"Shapes, of panels of {edge_mm:g} mm")
        print_table(WANTS, map(_wants, unfit), "Not to be built as they are")
        return
    together = (*SIZES, *WANTS[1:])
    print_table(together, ((*_sizes(shape), *_wants(shape)[1:]) for shape in found))


def _sizes(shape: dict[str, Any]) -> tuple[object, ...]:
    orders = "/".join(str(order) for order in shape["symmetry"].values())
    return (*(shape[column.key] for column in SIZES[:-2]), orders, shape["remarks"])


def _wants(shape: dict[str, Any]) -> tuple[object, ...]:
    return tuple(shape[column.key] for column in WANTS)


def _figures(entry: Entry, edge: float) -> dict[str, Any]:
    from glint.shape.remedy import remedy

    return {
        "name": entry.name,
        "base": entry.base,
        "sides": entry.sides,
        "steps": entry.steps,
        "triangles": entry.triangles,
        "squares": entry.squares,
        "diameter_m": entry.diameter * edge,
        "symmetry": entry.symmetry._asdict(),
        "remarks": entry.remarks,
        "buildable": entry.buildable,
        "needs": entry.needs,
        "remedy": remedy(entry),
    }
