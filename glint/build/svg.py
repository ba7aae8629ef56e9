"""The net as an SVG drawing at true scale: one user unit is one millimetre."""

from __future__ import annotations

import numpy as np

from glint.build.layout import on_one_sheet
from glint.build.marks import Label, Marks, piece_marks, together
from glint.build.net import Piece
from glint.shape.body import Body

GAP = 8.0
"""Millimetres between pieces and around them."""

STYLE = """
.net .panel{fill:#fff}.net .tile{fill:#e9ecef}
.net line{stroke:#000;stroke-width:.25;stroke-linecap:round}.net .cut{stroke-width:.5}
.net .valley{stroke-dasharray:2 1.2}.net .flat{stroke:#999;stroke-dasharray:.3 1}
.net text{font-family:Helvetica,Arial,"DejaVu Sans",sans-serif;text-anchor:middle;fill:#000}
.net .number{font-weight:600}
"""
"""Every rule begins with .net: the drawing also stands in the middle of a page."""


def net_svg(pieces: tuple[Piece, ...], body: Body, title: str) -> str:
    """The net of a body as the text of an SVG file."""
    layout = on_one_sheet([piece.size * 1e3 for piece in pieces], GAP)
    drawn = [piece_marks(pieces[p.piece], body, (p.x, p.y)) for p in layout.places]
    return marks_svg(together(drawn), layout.width, layout.height, title)


def marks_svg(marks: Marks, width: float, height: float, title: str) -> str:
    """Marks on a sheet of this size, mm, with a margin, as the text of an SVG file."""
    wide, high = width + 2 * GAP, height + 2 * GAP
    top = height + GAP  # SVG counts y downward

    def point(at: np.ndarray) -> tuple[float, float]:
        return float(at[0]) + GAP, top - float(at[1])

    rows = [
        f'<svg class="net" xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" '
        f'height="{high:.2f}mm" viewBox="0 0 {wide:.2f} {high:.2f}" role="img">',
        f"<title>{escaped(title)}</title><style>{STYLE}</style>",
    ]
    for area in marks.areas:
        corners = " ".join("{:.3f},{:.3f}".format(*point(corner)) for corner in area.corners)
        rows.append(f'<polygon class="{area.fill}" points="{corners}"/>')
    for line in marks.lines:
        (x1, y1), (x2, y2) = point(line.ends[0]), point(line.ends[1])
        rows.append(
            f'<line class="{line.stroke}" x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}"/>'
        )
    rows += [_text(label, *point(label.at)) for label in marks.labels]
    return "\n".join([*rows, "</svg>", ""])


def _text(label: Label, x: float, y: float) -> str:
    # Figures are about 0.72 of the type size high in common sans faces.
    size = label.size / 0.72
    turn = f' transform="rotate({-label.turn:.2f} {x:.3f} {y:.3f})"' if label.turn else ""
    kind = ' class="number"' if label.bold else ""
    baseline = y + 0.5 * label.size
    return (
        f'<text x="{x:.3f}" y="{baseline:.3f}" font-size="{size:.2f}"{kind}{turn}>'
        f"{escaped(label.text)}</text>"
    )


def escaped(text: str) -> str:
    """A text that is nothing but text in SVG and HTML."""
    for sign, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        text = text.replace(sign, entity)
    return text.replace("'", "&#39;")
