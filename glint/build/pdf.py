"""The net as pages to print at true scale: a PDF with a rule to check the printer by."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from io import BytesIO
from typing import Any, NamedTuple

import numpy as np

from glint.build.layout import Layout, on_pages
from glint.build.marks import FIGURE, LOOKS, Look, Mark, Notes, label, piece_marks
from glint.build.net import unfold
from glint.shape.body import Body

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm: ISO 216; US letter is 8.5 by 11 inches (ANSI/ASME Y14.1)."""

LEGEND = (
    "Seen from outside. Thick: cut; thin: ridge; dashed: valley; grey: the tile; "
    "top: where it hangs."
)

MARGIN = 10.0
HEAD, FOOT = 12.0, 12.0
RULE = 100.0
"""Millimetres: margins, the strips for title and rule, and the rule's length."""

GAP = 5.0
MOST_PAGES = 100

_MM_IN = 25.4
_POINT = 72 / _MM_IN  # points in a millimetre


class Pages(NamedTuple):
    """data: of the PDF file, or empty where the net cannot be printed; pages: how many; why: it
    cannot be printed.
    """

    data: bytes
    pages: int
    why: str = ""


def net_pages(body: Body, notes: Notes, paper: str, title: str) -> Pages:
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
    drawn = [_frame(layout, number, height, title) for number in range(layout.pages)]
    for place in layout.places:
        # Shelves go up from the ground; on paper they go down from the title.
        down = place.y + float(sizes[place.piece][1])
        at = (MARGIN + place.x, height - MARGIN - HEAD - down)
        drawn[place.page] += piece_marks(pieces[place.piece], body, notes, at)
    return Pages(pdf(drawn, width, height, title), layout.pages)


def _frame(layout: Layout, page: int, height: float, title: str) -> list[Mark]:
    """The head line and the rule at the foot."""
    head = f"{title}, page {page + 1} of {layout.pages}"
    middle = MARGIN + 0.5 * layout.width
    note = "This line is 100 mm long: print at 100 %, “actual size”."
    low, right = MARGIN + 1, MARGIN + RULE
    ticks = [(MARGIN + mm, 3.0 if mm % 50 == 0 else 1.5) for mm in range(0, int(RULE) + 1, 10)]
    return [
        Mark("rule", np.array([[MARGIN, low], [right, low]])),
        *(Mark("rule", np.array([[x, low], [x, low + tall]])) for x, tall in ticks),
        label("number", np.array([middle, height - MARGIN - 2]), head[:110], 2.4),
        label("label", np.array([middle, height - MARGIN - 6.5]), LEGEND, 2.0),
        label("label", np.array([right + 4 + 40, MARGIN + 2]), note, 2.0),
    ]


def pdf(pages: Sequence[Sequence[Mark]], width: float, height: float, title: str) -> bytes:
    """Marks in millimetres, from the lower left corner of each page, as a PDF file."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_pdf import PdfPages
    from matplotlib.figure import Figure

    stream = BytesIO()
    about = {"Title": title, "Creator": "glint", "CreationDate": None, "ModDate": None}
    # Type 42 fonts keep letters as letters, so that they can be searched and copied.
    with (
        rc_context({"pdf.fonttype": 42, "lines.scale_dashes": False}),
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
            for kind, look in LOOKS.items():
                _draw(axes, [mark for mark in marks if mark.kind == kind], look)
            file.savefig(figure)
    return stream.getvalue()


def _draw(axes: Any, marks: Sequence[Mark], look: Look) -> None:
    from matplotlib.collections import PolyCollection

    shapes = PolyCollection(
        [mark.points for mark in marks if not mark.text],
        closed=look.stroke == "none",
        facecolors=look.fill,
        edgecolors=look.stroke,
        linewidths=look.width * _POINT,
        linestyles=(0, tuple(length * _POINT for length in look.dashes) or None),
        capstyle="round",
    )
    axes.add_collection(shapes)
    for mark in marks:
        if mark.text:
            axes.text(
                *mark.points[0],
                mark.text,
                color=look.fill,
                fontsize=mark.size / FIGURE * _POINT,
                fontweight=look.weight,
                rotation=mark.turn,
                rotation_mode="anchor",
                ha="center",
                va="baseline",
                parse_math=False,
            )
