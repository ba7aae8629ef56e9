"""Figures as rows: for tables, CSV and JSON."""

from __future__ import annotations

import math
from typing import Any

from glint.analysis.definitions import definition_of, shown
from glint.analysis.measure import Measures
from glint.analysis.strings_seen import seen_in_words
from glint.files.csv import csv_of


def rows_of(measures: Measures) -> list[tuple[str, str, float, float, float, float]]:
    """Heading, unit, mean, least, most and error in per cent of every figure."""
    rows = []
    for key, figure in measures.figures.items():
        definition = definition_of(key)
        mean, least, most = (shown(key, value) for value in figure[:3])
        rows.append((definition.name, definition.unit, mean, least, most, 100.0 * figure.error))
    return rows


def as_json(measures: Measures) -> dict[str, Any]:
    """Everything measured, as JSON holds it: what is not defined is null."""
    return {
        "title": measures.title,
        "tiles": measures.tiles,
        "panels": measures.panels,
        "weight_g": measures.grams,
        "diameter_m": measures.diameter,
        "lumens": measures.lumens,
        "cannot_be_glued": list(measures.unglued),
        "turn": {
            "degrees": measures.degrees,
            "poses": measures.poses,
            "energy_poses": measures.energy_poses,
            "stable": measures.stable,
        },
        "figures": {
            key: {name: _number(value) for name, value in figure._asdict().items()}
            for key, figure in measures.figures.items()
        },
        "strings": seen_in_words(measures),
        "zenith_deg": list(measures.angles),
        "density_by_zenith_per_m2": list(measures.density),
    }


def as_csv(measures: Measures) -> str:
    """A row a figure (RFC 4180): its key, which ends in its unit, name, unit, and values in it."""
    rows = [(key, *row) for key, row in zip(measures.figures, rows_of(measures), strict=True)]
    heads = ("key", "measure", "unit", "mean", "least", "most", "error_percent")
    return csv_of(heads, rows)


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
