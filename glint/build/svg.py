"""The net as an SVG drawing at true scale: one user unit is one millimetre."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import escape

from glint.build.layout import Layout, on_one_sheet
from glint.build.marks import FIGURE, LOOKS, Kind, Mark, Notes, piece_marks
from glint.build.net import Piece
from glint.shape.body import Body

GAP = 8.0
"""Millimetres between pieces and around them."""

TEXT = 'font-family:Helvetica,Arial,"DejaVu Sans",sans-serif;text-anchor:middle'


def net_svg(pieces: tuple[Piece, ...], body: Body, notes: Notes, title: str) -> str:
    """The net of a body as the text of an SVG file."""
    layout = _layout(pieces)
    marks = [
        mark
        for place in layout.places
        for mark in piece_marks(pieces[place.piece], body, notes, (place.x + GAP, place.y + GAP))
    ]
    return svg(marks, layout.width + 2 * GAP, layout.height + 2 * GAP, title)


def net_width(pieces: tuple[Piece, ...]) -> float:
    """Width of the drawing, mm."""
    return _layout(pieces).width + 2 * GAP


def _layout(pieces: tuple[Piece, ...]) -> Layout:
    return on_one_sheet([piece.size * 1e3 for piece in pieces], GAP)


def svg(marks: Sequence[Mark], width: float, height: float, title: str) -> str:
    """Marks on a sheet of this size, mm, as the text of an SVG file."""
    kinds = list(LOOKS)
    drawn = sorted(marks, key=lambda mark: kinds.index(mark.kind))
    # Every rule begins with .net: the drawing also stands in the middle of a page.
    style = f".net text{{{TEXT}}}" + "".join(
        f".net .{kind}{{{_style(kind)}}}" for kind in kinds if any(m.kind == kind for m in drawn)
    )
    rows = [
        f'<svg class="net" xmlns="http://www.w3.org/2000/svg" width="{width:.2f}mm" '
        f'height="{height:.2f}mm" viewBox="0 0 {width:.2f} {height:.2f}" role="img">',
        f"<title>{escape(title)}</title><style>{style}</style>",
        *(_element(mark, height) for mark in drawn),
        "</svg>",
        "",
    ]
    return "\n".join(rows)


def _style(kind: Kind) -> str:
    look = LOOKS[kind]
    style = f"fill:{look.fill};stroke:{look.stroke}"
    if look.width:
        style += f";stroke-width:{look.width:g};stroke-linecap:round"
    if look.dashes:
        style += f";stroke-dasharray:{' '.join(f'{length:g}' for length in look.dashes)}"
    return style + (f";font-weight:{look.weight}" if look.weight != "normal" else "")


def _element(mark: Mark, height: float) -> str:
    points = [(float(x), height - float(y)) for x, y in mark.points]  # SVG counts y downward
    if mark.text:
        ((x, y),) = points
        turn = f' transform="rotate({-mark.turn:.2f} {x:.3f} {y:.3f})"' if mark.turn else ""
        size = mark.size / FIGURE
        place = f'x="{x:.3f}" y="{y:.3f}" font-size="{size:.2f}"{turn}'
        return f'<text class="{mark.kind}" {place}>{escape(mark.text)}</text>'
    name = "polyline" if len(points) == 2 else "polygon"
    corners = " ".join(f"{x:.3f},{y:.3f}" for x, y in points)
    return f'<{name} class="{mark.kind}" points="{corners}"/>'
