"""A picture of a search: the score over the two numbers that matter most."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from glint.search.optimize import Placing


def draw_landscape(placing: Placing, path: Path) -> None:
    """Write a PNG: a map of two numbers, or a curve where only one is free. Raises OSError."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(7.2, 5.4), layout="constrained")
    axes = figure.add_subplot()
    names = [placing.names[number] for number in placing.strongest]
    start = [placing.start[number] for number in placing.strongest]
    best = [placing.best[number] for number in placing.strongest]
    if len(names) == 1:
        _curve(axes, placing, start[0], best[0])
    else:
        _map(figure, axes, placing, start, best)
        axes.set_ylabel(names[1])
    axes.set_xlabel(names[0])
    axes.set_title(f"{placing.file.title}\nscore with all else at its best; the start is 1")
    axes.legend(loc="upper right", framealpha=0.9)
    figure.savefig(path, format="png", dpi=130, metadata={"Software": None})


def _curve(axes: Any, placing: Placing, start: float, best: float) -> None:
    axes.plot(placing.grid[0], np.maximum(placing.landscape, 0.0), color="#3b6ea5")
    axes.axvline(start, color="#777777", ls="--", label="start")
    axes.axvline(best, color="#c8553d", label="best")
    axes.set_ylabel("score")


def _map(figure: Any, axes: Any, placing: Placing, start: list[float], best: list[float]) -> None:
    # Below nothing lies what breaks a limit or cannot be built: how far does not matter here.
    shown = np.where(placing.landscape < 0.0, np.nan, placing.landscape)
    drawn = axes.pcolormesh(*placing.grid, shown, cmap="viridis", shading="nearest")
    axes.set_facecolor("#d8d8d8")
    figure.colorbar(drawn, ax=axes, label="score (grey: a limit is broken)")
    axes.plot(*start, "o", mfc="white", mec="black", ms=9, label="start")
    axes.plot(*best, "*", mfc="#e2523c", mec="white", ms=17, label="best")
