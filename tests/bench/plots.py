"""The plots of `scaling` as one picture of small multiples."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from glint.files.atomic import whole_file
from tests.bench.figures import median
from tests.bench.scaling import THREADS, Line, Plot, as_markdown, growth, measured

NAME = "scaling.svg"
PAPER, INK, QUIET, FAINT = "#ffffff", "#22262b", "#646b73", "#e3e6e9"
WHOLE, TRACED = "#b5451f", "#2f6690"
OTHERS = ("#55702f", "#7a4a86", "#8f6a12")
SIZE = (10.0, 6.6)
LEFT, RIGHT = 0.055, 0.975
FONT = {
    "font.family": "DejaVu Sans", "font.size": 8.5, "svg.hashsalt": "glint", "text.color": INK,
    "mathtext.fontset": "dejavusans", "axes.edgecolor": QUIET, "axes.labelcolor": QUIET,
    "xtick.color": QUIET, "ytick.color": QUIET, "axes.linewidth": 0.6,
    "xtick.labelsize": 8, "ytick.labelsize": 8,
}  # fmt: skip

READ = (
    "Each dot is the median of {repeats} rounds through all sizes, each bar the lowest and the "
    "highest; most bars are smaller than their dot. Dashes: time in proportion to the work. "
    "At the ends: the power of the axis that time grows with, over the right half of a line. "
    "Maps of the dome, 1024² but for the second plot, of what the mirrors throw; the light "
    "straight from the lamps is left out."
)


def write_plots(folder: Path, machine: str, quick: bool) -> str:
    """Measure all, and keep FOLDER/scaling.svg whole; returns the figures as Markdown."""
    folder.mkdir(parents=True, exist_ok=True)
    plots = list(measured(quick))
    with whole_file(folder / NAME, force=True) as place:
        draw(plots, machine, place)
    return f"{machine}\n\n{as_markdown(plots)}"


def draw(plots: Sequence[Plot], machine: str, place: Path) -> None:
    """Draw the picture into a file; its ending says whether as SVG or PNG."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(FONT):
        figure = Figure(figsize=SIZE, facecolor=PAPER)
        grid = figure.add_gridspec(
            2, 3, left=LEFT, right=RIGHT, top=0.79, bottom=0.075, wspace=0.2, hspace=0.6
        )
        figure.text(LEFT, 0.945, "How long a light map takes", size=16, weight="bold")
        _key(figure)
        for number, plot in enumerate(plots):
            axes = figure.add_subplot(grid[number // 3, number % 3])
            (_shares if plot.title == THREADS else _times)(axes, plot)
        _small_print(figure.add_subplot(grid[1, 2]), plots, machine)
        plain: dict[str, Any] = {"metadata": {"Date": None}} if place.suffix == ".svg" else {}
        figure.savefig(place, format=place.suffix[1:], dpi=160, facecolor=PAPER, **plain)


def _key(figure: Any) -> None:
    """What the colours are, once for all panels, in words of their colour."""
    words = (("milliseconds:", QUIET), ("tracing the beams and laying them on the map,", WHOLE))
    x = LEFT
    for text, colour in (*words, ("and tracing alone", TRACED)):
        drawn = figure.text(x, 0.905, text, size=10, color=colour)
        box = drawn.get_window_extent()
        x += box.width / figure.bbox.width + 0.006


def _times(axes: Any, plot: Plot) -> None:
    """Milliseconds: of a power on logarithmic axes, else on plain ones."""
    powers = plot.slope is not None
    for line, colour in zip(plot.lines, (WHOLE, TRACED), strict=False):
        scaled = [[1e3 * value for value in row] for row in line.seconds]
        _dots(axes, line, scaled, colour)
        if powers:
            _at_the_end(
                axes, line.at[-1], median(scaled[-1]), f"$n^{{{growth(line):.1f}}}$", colour
            )
    at, first = plot.lines[0].at, plot.lines[0]
    highest = 1e3 * max(max(row) for line in plot.lines for row in line.seconds)
    lowest = 1e3 * min(min(row) for line in plot.lines for row in line.seconds)
    if plot.slope is None:
        axes.set_ylim(0, 1.15 * highest)
        axes.set_xlim(0.6, at[-1] + 0.4)
    else:
        axes.set(xscale="log", yscale="log")
        axes.set_ylim(0.6 * lowest, 2.0 * highest)
        axes.set_xlim(at[0] / (at[-1] / at[0]) ** 0.05, at[-1] * (at[-1] / at[0]) ** 0.13)
        last = 1e3 * first.medians[-1]
        _dashes(axes, at, [last * (x / at[-1]) ** plot.slope for x in at])
    _finish(axes, plot, tuple(10**k for k in range(2, 7)) if plot.title == "Tiles" else at)


def _shares(axes: Any, plot: Plot) -> None:
    """Time on several threads over that on one, round by round."""
    ends: list[float] = []
    for line, colour in zip(plot.lines, OTHERS, strict=True):
        alone = line.seconds[0]
        scaled = [[v / one for v, one in zip(row, alone, strict=True)] for row in line.seconds]
        _dots(axes, line, scaled, colour)
        ends.append(median(scaled[-1]))
    at = plot.lines[0].at
    for line, colour, height in zip(plot.lines, OTHERS, apart(ends, 0.1), strict=True):
        _at_the_end(axes, at[-1], height, line.name, colour)
    _dashes(axes, at, [1.0 / x for x in at])
    axes.set_ylim(0, 1.25)
    axes.set_xlim(at[0] - 0.1, at[0] + 1.5 * (at[-1] - at[0]))
    _finish(axes, plot, at)


def apart(heights: Sequence[float], least: float) -> list[float]:
    """The heights moved as little as need be from the lowest up, until no two are nearer than
    `least`: labels that would else overlap."""
    moved = [0.0] * len(heights)
    below = -float("inf")
    for number in sorted(range(len(heights)), key=heights.__getitem__):
        below = moved[number] = max(heights[number], below + least)
    return moved


def _dots(axes: Any, line: Line, values: Sequence[Sequence[float]], colour: str) -> None:
    middle = [median(row) for row in values]
    below = [m - min(row) for m, row in zip(middle, values, strict=True)]
    above = [max(row) - m for m, row in zip(middle, values, strict=True)]
    axes.errorbar(
        line.at, middle, [below, above], color=colour, lw=1.5, marker="o", ms=3.8, elinewidth=1.0
    )


def _dashes(axes: Any, at: Sequence[int], values: Sequence[float]) -> None:
    axes.plot(at, values, color=QUIET, lw=0.8, ls=(0, (4, 3)), zorder=1)


def _at_the_end(axes: Any, x: float, y: float, text: str, colour: str) -> None:
    axes.annotate(
        text, (x, y), xytext=(7, 0), textcoords="offset points", va="center", color=colour, size=9
    )


def _finish(axes: Any, plot: Plot, ticks: Sequence[int]) -> None:
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    plain = FuncFormatter(lambda value, _: f"{value:,g}")
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.xaxis.set_major_locator(FixedLocator(ticks))
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(plain)
    axes.grid(axis="y", color=FAINT, lw=0.7)
    axes.set_axisbelow(True)
    axes.tick_params(axis="x", length=2.5, width=0.6)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(plot.axis, labelpad=3)
    axes.set_title(plot.title, loc="left", size=11.5, weight="bold", color=INK, pad=20)
    axes.text(0, 1.055, plot.note, transform=axes.transAxes, color=QUIET)


def _small_print(axes: Any, plots: Sequence[Plot], machine: str) -> None:
    axes.axis("off")
    read = READ.format(repeats=len(plots[0].lines[0].seconds[0]))
    text = "\n\n".join(textwrap.fill(paragraph, 52) for paragraph in (read, machine))
    axes.text(0, 1.14, text, va="top", size=7.5, color=QUIET, linespacing=1.5)
