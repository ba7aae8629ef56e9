"""The report's plots, as SVG that stands in the page itself."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from glint.analysis.averaging import Figure
from glint.analysis.measure import Measures

COLOURS = ("#3b6ea5", "#c8553d", "#4d8b57", "#8a5a9e", "#b8860b", "#2a9d9d", "#d1789b", "#6b6b6b")
MARKS = "osD^vP*X"
SIZE = (5.0, 3.7)
"""Inches of the drawing, which the page shows about as large: so 10 points stay 10 points."""

MOST_LINES = 8
"""Candidates that one plot of lines can tell apart."""


def spots_against_tiles(measured: Sequence[Measures]) -> str:
    """Visible spots over tiles used, each candidate's number beside it."""
    figure, axes = _axes(*SIZE)
    for number, one in enumerate(measured):
        spots = _figure(one, "spots")
        axes.errorbar(
            one.tiles,
            spots.mean,
            [[spots.mean - spots.least], [spots.most - spots.mean]],
            fmt=MARKS[number % len(MARKS)],
            color=COLOURS[number % len(COLOURS)],
            capsize=3,
            lw=1,
        )
        axes.annotate(
            str(number + 1),
            (one.tiles, spots.mean),
            xytext=(6, 4),
            textcoords="offset points",
            fontsize=9,
        )
    most = max(one.tiles for one in measured)
    axes.plot([0, most], [0, most], color="#bbbbbb", lw=1, ls="--", zorder=0)
    axes.annotate("one spot a tile", (most, most), ha="right", va="bottom", color="#777777")
    axes.set_xlabel("tiles")
    axes.set_ylabel("visible spots: mean, least, most")
    axes.set_xlim(left=0)
    axes.set_ylim(bottom=0)
    return _svg(figure)


def density_from_zenith(measured: Sequence[Measures]) -> str:
    """Visible spots a square metre in bands from the zenith down."""
    figure, axes = _axes(*SIZE)
    with_spots = [n for n, one in enumerate(measured) if "spots" in one.figures]
    ranked = sorted(with_spots, key=lambda n: -measured[n].figures["spots"].mean)
    for number in sorted(ranked[:MOST_LINES]):
        one = measured[number]
        axes.plot(
            one.density,
            one.angles,
            marker=MARKS[number % len(MARKS)],
            ms=4,
            color=COLOURS[number % len(COLOURS)],
            label=f"{number + 1}",
        )
    axes.set_xlabel("visible spots per m² overhead")
    axes.set_ylabel("angle from the zenith, °")
    axes.invert_yaxis()  # the zenith on top
    axes.set_xlim(left=0)
    axes.legend(title="candidate", ncols=2, frameon=False)
    return _svg(figure)


def unevenness(measured: Sequence[Measures]) -> str:
    """Unevenness at an instant and over a turn; shorter is more even."""
    figure, axes = _axes(SIZE[0], max(1.2 + 0.3 * len(measured), SIZE[1]))
    places = range(len(measured))
    for key, shift, colour, label in (
        ("unevenness", -0.19, COLOURS[0], "at an instant"),
        ("unevenness_of_turn", 0.19, COLOURS[1], "over a turn"),
    ):
        values = [_figure(one, key).mean for one in measured]
        axes.barh([p + shift for p in places], values, 0.36, color=colour, label=label)
    axes.set_yticks(list(places), [str(p + 1) for p in places])
    axes.invert_yaxis()
    axes.set_ylabel("candidate")
    axes.set_xlabel("coefficient of variation over 200 cells")
    axes.legend(frameon=False, ncols=2, loc="lower center", bbox_to_anchor=(0.5, 1.0))
    return _svg(figure)


def _figure(one: Measures, key: str) -> Figure:
    """A figure of a candidate; NaN, which is drawn as nothing, if it has none."""
    return one.figures.get(key, Figure(math.nan, math.nan, math.nan, 0.0))


def _axes(width: float, height: float) -> tuple[Any, Any]:
    from matplotlib.figure import Figure as Drawing

    figure = Drawing(figsize=(width, height), layout="constrained")
    axes = figure.add_subplot()
    axes.spines[["top", "right"]].set_visible(False)
    return figure, axes


def _svg(figure: Any) -> str:
    """The figure alone, the same every time: no date, no random names."""
    import matplotlib

    held = io.StringIO()
    with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "glint"}):
        figure.savefig(held, format="svg", metadata={"Date": None, "Creator": None})
    text = held.getvalue()
    return text[text.index("<svg") :]
