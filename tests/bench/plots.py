"""The plots of `scaling` as one picture: small multiples on logarithmic axes."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from glint.scene.output import whole_file
from tests.bench.scaling import Line, Plot, as_markdown, growth, measured

NAME = "scaling"
PAPER, INK, QUIET, FAINT = "#ffffff", "#22262b", "#6d747c", "#d9dde1"
COLOURS = ("#b5451f", "#2f6690", "#7a6a2f")
SIZE = (10.0, 6.4)
FONT = {
    "font.family": "DejaVu Sans", "font.size": 8.5, "svg.hashsalt": "glint", "text.color": INK,
    "axes.edgecolor": QUIET, "axes.labelcolor": QUIET, "xtick.color": QUIET, "ytick.color": QUIET,
    "axes.linewidth": 0.6, "xtick.labelsize": 8, "ytick.labelsize": 8,
}  # fmt: skip

READ = (
    "Milliseconds on logarithmic axes. A dot is the median of {repeats} rounds through all of a "
    "panel's sizes, a bar the lowest and the highest. The dashed line has the slope of {ideal}; "
    "figures at the ends are the power that time grows with, over the right half of a line. "
    "One light map of the dome: beams traced, then laid on the map; lamps' spill left out."
)


def write_plots(folder: Path, machine: str, quick: bool) -> str:
    """Measure all, and keep FOLDER/scaling.svg and .png whole; returns the figures as Markdown."""
    folder.mkdir(parents=True, exist_ok=True)
    plots = list(measured(quick))
    for ending in ("svg", "png"):
        with whole_file(folder / f"{NAME}.{ending}", force=True) as place:
            draw(plots, machine, place)
    return f"{machine}\n\n{as_markdown(plots)}"


def draw(plots: Sequence[Plot], machine: str, place: Path) -> None:
    """Draw the picture into a file; its ending says whether as SVG or PNG."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(FONT):
        figure = Figure(figsize=SIZE, facecolor=PAPER)
        grid = figure.add_gridspec(
            2, 3, left=0.06, right=0.965, top=0.86, bottom=0.085, wspace=0.3, hspace=0.62
        )
        figure.text(0.06, 0.955, "How the time of a light map grows", size=15, weight="bold")
        for number, plot in enumerate(plots):
            _panel(figure.add_subplot(grid[number // 3, number % 3]), plot)
        _small_print(figure.add_subplot(grid[1, 2]), plots, machine)
        known: dict[str, Any] = {"metadata": {"Date": None}} if place.suffix == ".svg" else {}
        figure.savefig(place, format=place.suffix[1:], dpi=160, facecolor=PAPER, **known)


def _panel(axes: Any, plot: Plot) -> None:
    from matplotlib.ticker import FixedLocator, FuncFormatter, LogLocator, NullLocator

    axes.set(xscale="log", yscale="log")
    axes.spines[["top", "right"]].set_visible(False)
    for line, colour in zip(plot.lines, COLOURS, strict=False):
        _line(axes, line, colour)
    _ideal(axes, plot)
    at = plot.lines[0].at
    if plot.axis.startswith("tiles"):
        axes.xaxis.set_major_locator(LogLocator(10))
    else:
        axes.xaxis.set_major_locator(FixedLocator(at))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,.0f}"))
    axes.yaxis.set_major_locator(LogLocator(10, subs=(1.0,)))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,g}"))
    lowest = min(min(row) for line in plot.lines for row in line.seconds)
    highest = max(max(row) for line in plot.lines for row in line.seconds)
    axes.set_ylim(0.5e3 * lowest, 2.2e3 * highest)
    axes.set_xlim(at[0] / (at[-1] / at[0]) ** 0.06, at[-1] * (at[-1] / at[0]) ** 0.14)
    axes.grid(axis="y", color=FAINT, lw=0.5)
    axes.tick_params(length=2.5, width=0.6)
    axes.set_axisbelow(True)
    axes.set_title(f"{plot.title}", loc="left", size=11, weight="bold", color=INK, pad=20)
    axes.text(0, 1.05, f"{plot.axis}; {plot.note}", transform=axes.transAxes, color=QUIET)


def _line(axes: Any, line: Line, colour: str) -> None:
    middle = [1e3 * value for value in line.medians]
    below = [1e3 * (m - min(row)) for m, row in zip(line.medians, line.seconds, strict=True)]
    above = [1e3 * (max(row) - m) for m, row in zip(line.medians, line.seconds, strict=True)]
    axes.errorbar(
        line.at, middle, [below, above], color=colour, lw=1.4, marker="o", ms=3.6, elinewidth=0.9
    )
    axes.annotate(
        f"{growth(line):+.1f}",
        (line.at[-1], middle[-1]),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        color=colour,
        size=8,
    )
    axes.annotate(
        line.name,
        (line.at[0], middle[0]),
        xytext=(0, 8),
        textcoords="offset points",
        color=colour,
        size=8.5,
    )


def _ideal(axes: Any, plot: Plot) -> None:
    line = plot.lines[0]
    x, last = line.at, 1e3 * line.medians[-1]
    ends = [x[0], x[-1]]
    axes.plot(
        ends,
        [last * (end / x[-1]) ** plot.fits for end in ends],
        color=QUIET,
        lw=0.8,
        ls=(0, (4, 3)),
    )


def _small_print(axes: Any, plots: Sequence[Plot], machine: str) -> None:
    axes.axis("off")
    repeats = len(plots[0].lines[0].seconds[0])
    read = READ.format(repeats=repeats, ideal="time in proportion to work")
    paragraphs = [read, machine]
    text = "\n\n".join(textwrap.fill(paragraph, 50) for paragraph in paragraphs)
    axes.text(0, 1.05, text, va="top", size=8, color=QUIET, linespacing=1.5)
