"""The build sheet as files: a page, a text, figures, and the net to print."""

from __future__ import annotations

import json
from typing import Any

from glint.build import wording
from glint.build.cautions import CAUTIONS, DEFERENCE
from glint.build.pdf import RULE, Pages, net_pages
from glint.build.sheet import BallSheet, Sheet, as_figures, bevel
from glint.build.sources import SOURCES
from glint.build.svg import net_svg
from glint.build.views import VIEWS, view_svg

PAGE, TEXT, FIGURES = "sheet.html", "sheet.txt", "sheet.json"

Net = tuple[str, str, Pages]


def files_of(whole: Sheet, paper: str = "A4") -> dict[str, bytes]:
    """Every file of the sheet by its name. paper: "A4" or "letter"."""
    files: dict[str, bytes] = {}
    nets: list[Net | None] = []
    for number, ball in enumerate(whole.balls, start=1):
        if not ball.net:
            nets.append(None)
            continue
        stem = "net" if len(whole.balls) == 1 else f"net-{number}"
        title = f"{whole.title}: {ball.name}"
        drawing = net_svg(ball.net, ball.body, f"{title}, net")
        printed = net_pages(ball.body, paper, title)
        files[f"{stem}.svg"] = drawing.encode()
        if printed.data:
            files[f"{stem}.pdf"] = printed.data
        nets.append((stem, drawing, printed))
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
            (view.name, Markup(view_svg(ball.body, view, ball.tile_thickness))) for view in VIEWS
        ]

    return environment.get_template(template).render(
        sheet=whole,
        nets=[net and (net[0], Markup(net[1]), net[2]) for net in nets],
        paper=paper,
        rule=RULE,
        pictures=pictures,
        cautions=CAUTIONS,
        deference=DEFERENCE,
        sources=SOURCES,
        bevel=bevel,
    )


def _filters() -> dict[str, Any]:
    return {
        "mm": wording.millimetres,
        "g": wording.grams,
        "hours": wording.time_in_words,
        "deg": wording.degrees,
        "kind": wording.kind_in_words,
        "parts": wording.parts_in_words,
        "edge": wording.edge_in_words,
        "rows": lambda rows: wording.rows_in_words(row.of for row in rows),
        "rings": lambda core: map(wording.rings_in_words, core.rings),
        "counted": wording.counted,
    }
