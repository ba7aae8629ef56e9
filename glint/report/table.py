"""Candidates side by side: the columns of table and CSV, and everything as JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from glint.analysis.definitions import definition_of, shown, shown_columns
from glint.analysis.measure import Measures
from glint.analysis.table import as_json
from glint.analysis.verdict import in_plain_words
from glint.files.csv import csv_of
from glint.report.candidate import Answer

SHOWN = tuple(shown_columns())
"""Figures that a terminal and the report's first table have room for."""


def measured(answers: Sequence[Answer]) -> list[Measures]:
    """The measures of those that have any."""
    return [one.measures for one in answers if one.measures is not None]


def left_out(answers: Sequence[Answer]) -> list[str]:
    """Those that could not be measured, and why."""
    return [f"{one.title}: {one.problem}" for one in answers if one.measures is None]


def columns_of(found: Sequence[Measures]) -> list[str]:
    """Those of SHOWN that any of them has."""
    return [key for key in SHOWN if any(key in one.figures for one in found)]


def mean_of(measures: Measures, key: str) -> float:
    """A figure's mean in the unit it is shown in; NaN if it has none here."""
    figure = measures.figures.get(key)
    return shown(key, figure.mean) if figure is not None else math.nan


def as_csv(answers: Sequence[Answer]) -> str:
    """A row a candidate, every figure with mean, least, most and error (RFC 4180)."""
    found = measured(answers)
    keys = list(dict.fromkeys(key for one in found for key in one.figures))
    heads = [f"{key}_{part}" for key in keys for part in ("mean", "least", "most", "error")]
    rows = []
    for one in found:
        row: list[object] = [one.title, one.tiles, one.panels, one.grams, one.diameter, one.poses]
        for key in keys:
            row += one.figures.get(key) or [""] * 4
        rows.append(row)
    first = ("candidate", "tiles", "panels", "weight_g", "diameter_m", "poses")
    return csv_of((*first, *heads), rows)


def in_json(answers: Sequence[Answer]) -> dict[str, Any]:
    """Everything that was measured, and the verdict."""
    found = measured(answers)
    return {
        "candidates": [as_json(one) for one in found],
        "left_out": [{"title": a.title, "problem": a.problem} for a in answers if not a.measures],
        "verdict": in_plain_words(found),
    }


def heading(key: str) -> tuple[str, str]:
    """Heading and unit of a column."""
    definition = definition_of(key)
    return definition.name, definition.unit
