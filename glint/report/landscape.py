"""A picture of a search: the score over the two numbers that matter most."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.search.optimize import Placing

INK, PALE, PAPER = "#1d2025", "#5f656e", "#fbfbf9"
START, BEST = "#ffffff", "#f0603c"
AGAINST = {
    "outside the room": ("#d9d8d3", ""),
    "too low over people": ("#bfc8d2", "////"),
    "a limit is broken": ("#dcc3bd", "...."),
    "cannot be built": ("#8f8d88", "xxxx"),
}
"""Colour and hatching of cells that cannot be chosen, by why."""


def draw_landscape(placing: Placing, path: Path) -> None:
    """Write a PNG: a map of two numbers, or a curve where only one is free. Raises OSError."""
    import matplotlib
    from matplotlib.figure import Figure

    looks: Any = {
        "font.size": 10.5,
        "text.color": INK,
        "axes.edgecolor": PALE,
        "axes.labelcolor": INK,
        "xtick.color": PALE,
        "ytick.color": PALE,
        "hatch.linewidth": 0.6,
        "hatch.color": "#ffffff",
    }
    with matplotlib.rc_context(looks):
        figure = Figure(figsize=(8.0, 6.2), layout="constrained", facecolor=PAPER)
        axes = figure.add_subplot(facecolor=PAPER)
        if len(placing.strongest) == 1:
            _curve(axes, placing)
        else:
            _map(figure, axes, placing)
        axes.set_xlabel(_label(placing, 0), labelpad=6)
        axes.set_title(placing.file.title, loc="left", fontsize=14, weight="bold", pad=26)
        others = ", all else as in the best" if len(placing.names) > len(placing.strongest) else ""
        axes.text(
            0.0,
            1.02,
            f"score of {placing.landscape.size} placings{others}: the start "
            f"{_shown(placing.scores[0])}, the best {_shown(placing.scores[1])}",
            transform=axes.transAxes,
            color=PALE,
            va="bottom",
        )
        handles, labels = axes.get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower left", ncols=6, frameon=False)
        figure.savefig(path, format="png", dpi=150, metadata={"Software": None})


def _shown(score: float) -> str:
    return f"has {score:.2f}" if score > -1.0 else "breaks a limit"


def _label(placing: Placing, place: int) -> str:
    """A free number with its unit behind it, as "star height, m"."""
    name = placing.names[placing.strongest[place]]
    for ending, unit in (("_m", "m"), ("_mm", "mm"), ("_deg", "°")):
        if name.endswith(ending):
            return f"{name.removesuffix(ending).replace('_', ' ')}, {unit}"
    return name.replace(" rpm", ", turns a minute")


def _places(placing: Placing) -> tuple[list[float], list[float]]:
    """Start and best, on the axes of the picture."""
    start = [placing.start[number] for number in placing.strongest]
    return start, [placing.best[number] for number in placing.strongest]


def _curve(axes: Any, placing: Placing) -> None:
    values, kinds = placing.grid[0], placing.kinds
    scores = np.where(kinds == "", placing.landscape, np.nan)
    _, step = _spaced(values)
    broken = kinds == "a limit is broken"
    fine, fine_step = _spaced(placing.fine[0])
    for kind, (colour, hatch) in AGAINST.items():
        spans = [(v, fine_step) for v in fine[placing.ruled == kind]]
        spans += [(v, step) for v in values[broken & (kinds == kind)]]
        for number, (value, wide) in enumerate(spans):
            look = {"fc": colour, "ec": "white", "hatch": hatch, "lw": 0.0}
            label = kind if number == 0 else None
            axes.axvspan(value - 0.5 * wide, value + 0.5 * wide, label=label, **look)
    axes.plot(values, scores, "o-", color="#3f6fa3", ms=4, lw=1.6)
    (start,), (best,) = _places(placing)
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(axis="y", color="#e4e3de", lw=0.8)
    axes.set_axisbelow(True)
    axes.set_ylabel("score")
    _marks(axes, [start, placing.scores[0]], [best, placing.scores[1]])
    axes.set_xlim(*_ends(placing.fine[0], start))
    if np.isfinite(scores).any():
        low = min(0.0, float(np.nanmin(scores)))
        axes.set_ylim(low, 1.12 * max(float(np.nanmax(scores)), *placing.scores))


def _map(figure: Any, axes: Any, placing: Placing) -> None:
    from matplotlib.patches import Rectangle

    across, up = placing.grid
    start, best = _places(placing)
    wide, high = _spaced(across)[1], _spaced(up)[1]
    shown = np.where(placing.kinds == "", placing.landscape, np.nan)
    look = {"cmap": "viridis", "shading": "nearest", "ec": PAPER, "lw": 0.6, "zorder": 2}
    drawn = axes.pcolormesh(across, up, shown, **look)
    for kind, (colour, hatch) in AGAINST.items():
        look = {"fc": colour, "ec": "white", "hatch": hatch, "lw": 0.0}
        cells = [
            (x, y, *(_spaced(values)[1] for values in placing.fine), 1)
            for x, y in _where(placing.fine, placing.ruled == kind)
        ]
        cells += [(x, y, wide, high, 2) for x, y in _where(placing.grid, placing.kinds == kind)]
        for number, (x, y, w, h, order) in enumerate(cells):
            label = kind if number == 0 else None
            corner = (x - 0.5 * w, y - 0.5 * h)
            axes.add_patch(Rectangle(corner, w, h, label=label, zorder=order, **look))
    axes.set_xlim(*_ends(placing.fine[0], start[0]))
    axes.set_ylim(*_ends(placing.fine[1], start[1]))
    bar = figure.colorbar(drawn, ax=axes, label="score", pad=0.02, aspect=30)
    bar.outline.set_visible(False)
    axes.spines[:].set_visible(False)
    axes.set_ylabel(_label(placing, 1))
    _marks(axes, start, best)


def _spaced(values: Floats) -> tuple[Floats, float]:
    """Evenly spaced values, and their step; some width where all are one."""
    return values, float(values[1] - values[0]) or 1e-3


def _where(grid: tuple[Floats, ...], mask: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """The places of the cells of a map that are marked."""
    return [(float(grid[0][column]), float(grid[1][row])) for row, column in np.argwhere(mask)]


def _ends(fine: Floats, start: float) -> tuple[float, float]:
    """Ends of an axis that shows the whole range of a number, and the start beside it if it lies
    outside."""
    step = _spaced(fine)[1]
    low, high = float(fine[0] - 0.5 * step), float(fine[-1] + 0.5 * step)
    return (low if low <= start else start - step), (high if start <= high else start + step)


def _marks(axes: Any, start: list[float], best: list[float]) -> None:
    """Start and best, and the line from one to the other."""
    axes.plot(*zip(start, best, strict=True), color="white", lw=2.6, alpha=0.9, zorder=4)
    axes.plot(*zip(start, best, strict=True), color=INK, lw=1.0, ls=(0, (4, 3)), zorder=5)
    for (x, y), mark, size, colour, label in (
        (start, "o", 10, START, "start"),
        (best, "*", 20, BEST, "best"),
    ):
        axes.plot(
            x, y, mark, ls="", ms=size, mfc=colour, mec=INK, mew=1.2, label=label, zorder=6,
            clip_on=False,
        )  # fmt: skip
