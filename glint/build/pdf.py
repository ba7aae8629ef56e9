"""The net as pages to print at true scale: a PDF with a rule to check the printer by."""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np

from glint.build.layout import Layout, on_pages
from glint.build.marks import Area, Label, Line, Marks, piece_marks, together
from glint.build.net import unfold
from glint.shape.body import Body

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm: ISO 216; US letter is 8.5 by 11 inches (ANSI/ASME Y14.1)."""

MARGIN = 10.0
HEAD, FOOT = 10.0, 12.0
RULE = 100.0
"""Millimetres: margins, the strips for title and rule, and the rule's length."""

GAP = 5.0
MOST_PAGES = 100

_MM_IN = 25.4
_POINT = 72 / _MM_IN  # points in a millimetre
_STROKES: dict[str, dict[str, Any]] = {
    "cut": {"linewidth": 1.2, "color": "black"},
    "ridge": {"linewidth": 0.6, "color": "black"},
    "valley": {"linewidth": 0.6, "color": "black", "linestyle": (0, (6, 4))},
    "flat": {"linewidth": 0.6, "color": "0.6", "linestyle": (0, (1, 3))},
    "rule": {"linewidth": 0.8, "color": "black"},
}
_FILLS = {"panel": "white", "tile": "0.92"}


class Pages(NamedTuple):
    """data: of the PDF file, or empty where the net cannot be printed; pages: how many; why: it
    cannot be printed.
    """

    data: bytes
    pages: int
    why: str = ""


def net_pages(body: Body, paper: str, title: str) -> Pages:
    """The net cut into pieces that fit the paper ("A4" or "letter"), on as many pages as it takes.

    The same body gives the same bytes.
    """
    width, height = PAPERS[paper]
    room = width - 2 * MARGIN, height - 2 * MARGIN - HEAD - FOOT
    pieces = unfold(body.frame, (room[0] / 1e3, room[1] / 1e3))
    sizes = [piece.size * 1e3 for piece in pieces]
    if any((size > np.array(room) + 1e-6).any() for size in sizes):
        return Pages(b"", 0, f"a panel is larger than the {paper} page")
    layout = on_pages(sizes, *room, GAP)
    if layout.pages > MOST_PAGES:
        return Pages(b"", 0, f"it would take {layout.pages} {paper} pages")
    drawn = []
    for number in range(layout.pages):
        parts = [
            piece_marks(pieces[p.piece], body, (MARGIN + p.x, MARGIN + FOOT + p.y))
            for p in layout.places
            if p.page == number
        ]
        drawn.append(together([*parts, _frame(layout, number, height, title)]))
    return Pages(pdf(drawn, width, height, title), layout.pages)


def _frame(layout: Layout, page: int, height: float, title: str) -> Marks:
    """The head line and the rule at the foot."""
    head = f"{title} · net, page {page + 1} of {layout.pages}"
    right = MARGIN + RULE
    ticks = [
        Line(np.array([[x, MARGIN + 1], [x, MARGIN + (4 if mm % 50 == 0 else 2.5)]]), "rule")
        for mm in range(0, int(RULE) + 1, 10)
        for x in [MARGIN + mm]
    ]
    rule = Line(np.array([[MARGIN, MARGIN + 1], [right, MARGIN + 1]]), "rule")
    note = "This line is 100 mm long: print at 100 %, “actual size”."
    middle = MARGIN + 0.5 * layout.width
    return Marks(
        (),
        (rule, *ticks),
        (
            Label(np.array([middle, height - MARGIN - 3]), head[:110], 2.4, bold=True),
            Label(np.array([right + 4 + 40, MARGIN + 2]), note, 2.0),
        ),
    )


def pdf(pages: list[Marks], width: float, height: float, title: str) -> bytes:
    """Marks in millimetres, from the lower left corner of each page, as a PDF file."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_pdf import PdfPages
    from matplotlib.figure import Figure

    stream = BytesIO()
    about = {"Title": title, "Creator": "glint", "CreationDate": None, "ModDate": None}
    # Type 42 fonts keep letters as letters, so that they can be searched and copied.
    with (
        rc_context({"pdf.fonttype": 42}),
        PdfPages(stream, metadata=about) as file,
        warnings.catch_warnings(),
    ):
        # A title may be in any script; what the font lacks is printed as a box.
        warnings.filterwarnings("ignore", "Glyph .* missing from font", UserWarning)
        for marks in pages:
            figure = Figure(figsize=(width / _MM_IN, height / _MM_IN))
            axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
            axes.set(xlim=(0, width), ylim=(0, height))
            axes.set_axis_off()
            _draw(axes, marks)
            file.savefig(figure)
    return stream.getvalue()


def _draw(axes: Any, marks: Marks) -> None:
    from matplotlib.collections import LineCollection, PolyCollection

    for fill, colour in _FILLS.items():
        corners = [area.corners for area in marks.areas if _is(area, fill)]
        axes.add_collection(PolyCollection(corners, facecolors=colour, edgecolors="none"))
    for stroke, look in _STROKES.items():
        ends = [line.ends for line in marks.lines if line.stroke == stroke]
        axes.add_collection(LineCollection(ends, capstyle="round", **look))
    for label in marks.labels:
        axes.text(
            *label.at,
            label.text,
            fontsize=label.size / 0.73 * _POINT,
            fontweight="bold" if label.bold else "normal",
            rotation=label.turn,
            rotation_mode="anchor",
            ha="center",
            va="center_baseline",
            parse_math=False,
        )


def _is(area: Area, fill: str) -> bool:
    return area.fill == fill
