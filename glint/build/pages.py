"""The build sheet as files: a page, a text, figures, and the net to print."""

from __future__ import annotations

import json
from typing import Any

from glint.build import wording
from glint.build.cautions import CAUTIONS, DEFERENCE
from glint.build.handling import HANDLING
from glint.build.holds import WAYS, way_svg
from glint.build.marks import notes_of
from glint.build.names import stems
from glint.build.pdf import RULE, Pages, net_pages
from glint.build.sheet import BallSheet, Sheet, as_figures, bevel
from glint.build.sources import SOURCES
from glint.build.svg import net_svg, net_width
from glint.build.views import VIEWS, view_svg
from glint.build.wind import BEAUFORT, FORCES, TAKE_DOWN, beaufort

PAGE, TEXT, FIGURES = "sheet.html", "sheet.txt", "sheet.json"

LEGIBLE = 110.0
"""CSS pixels that the edge of a panel has in the page at 1×, so that its numbers can be read."""

Net = tuple[str, str, Pages, float]
"""Name of the files without ending, the drawing, the pages, and the drawing's width at 1×, px."""


def files_of(whole: Sheet, paper: str = "A4") -> dict[str, bytes]:
    """Every file of the sheet by its name. paper: "A4" or "letter"."""
    files: dict[str, bytes] = {}
    nets: list[Net | None] = []
    names = stems([ball.name for ball in whole.balls])
    for name, ball in zip(names, whole.balls, strict=True):
        if not ball.net:
            nets.append(None)
            continue
        stem, title = f"{name}-net", f"{whole.title}: net of {ball.name}"
        notes = notes_of(ball.body, ball.parts.tags)
        drawing = net_svg(ball.net, ball.body, notes, title)
        legible = LEGIBLE * net_width(ball.net) / (1e3 * ball.body.panel_edge)
        printed = net_pages(ball.body, notes, paper, title)
        files[f"{stem}.svg"] = drawing.encode()
        if printed.data:
            files[f"{stem}.pdf"] = printed.data
        nets.append((stem, drawing, printed, legible))
    text = rendered("sheet.txt", whole, nets, paper)
    page = rendered("sheet.html", whole, nets, paper)
    figures = json.dumps(as_figures(whole), ensure_ascii=False, indent=2) + "\n"
    return {PAGE: page.encode(), TEXT: text.encode(), FIGURES: figures.encode(), **files}


def rendered(template: str, whole: Sheet, nets: list[Net | None], paper: str) -> str:
    """The sheet by a template of this package; in HTML every text of the scene is escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    loader = PackageLoader("glint.build")
    environment = Environment(
        loader=loader,
        autoescape=template.endswith(".html"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= _filters()

    def pictures(ball: BallSheet) -> list[tuple[str, Any]]:
        # Drawn here, with every text in them escaped: the only markup that is let through.
        return [
            (view.name, Markup(view_svg(ball.body, view, ball.tile_thickness - ball.pocket)))
            for view in VIEWS
        ]

    return environment.get_template(template).render(
        sheet=whole,
        nets=[net and (net[0], Markup(net[1]), *net[2:]) for net in nets],
        paper=paper,
        rule=RULE,
        pictures=pictures,
        ways=WAYS,
        way_drawing=lambda kind: Markup(way_svg(kind)),  # which has no text of the scene
        beaufort=beaufort,
        forces=FORCES,
        take_down=(TAKE_DOWN, BEAUFORT[TAKE_DOWN - 1]),
        handling=HANDLING,
        cautions=CAUTIONS,
        deference=DEFERENCE,
        sources=SOURCES,
        bevel=bevel,
    )


def _filters() -> dict[str, Any]:
    return {
        "mm": wording.millimetres,
        "g": wording.grams,
        "cm2": wording.square_centimetres,
        "hours": wording.time_in_words,
        "deg": wording.degrees,
        "kind": wording.kind_in_words,
        "parts": wording.parts_in_words,
        "edge": wording.edge_in_words,
        "rows": wording.rows_in_words,
        "numbers": wording.numbers_in_words,
        "rings": lambda core: map(wording.rings_in_words, core.rings),
        "counted": wording.counted,
    }
