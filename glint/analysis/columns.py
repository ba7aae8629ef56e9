"""Rows of figures as columns: what data frames, CSV writers and plots take as it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from glint.analysis.measure import Measures
from glint.analysis.table import rows_of
from glint.errors import UsageError, in_words
from glint.kernels.arrays import Beams

_OF_MEASURES = ("figure", "unit", "mean", "least", "most", "error_percent")
_AXES = "xyz"


def table(rows: Any) -> dict[str, np.ndarray]:
    """Columns of equal length by name, each a plain array (n,).

    rows: what `glint.spots`, `glint.beams` or `glint.measure` gave, or any list of named tuples.
    Of beams a point becomes three columns, as apex_x, apex_y and apex_z; other fields with more
    numbers are counted, as chain_0. Lists of numbers, as tiles of a spot, become text. Raises
    UsageError.
    """
    if isinstance(rows, tuple) and rows and isinstance(rows[0], Beams):
        rows = rows[0]
    if isinstance(rows, Beams):
        return _of_arrays(rows._asdict())
    if isinstance(rows, Measures):
        return _of_rows(_OF_MEASURES, rows_of(rows))
    named = isinstance(rows, Sequence) and all(hasattr(row, "_fields") for row in rows)
    if not named or isinstance(rows, str):
        allowed = "what glint.spots, glint.beams or glint.measure gave"
        raise UsageError(f"table: found {in_words(rows)}; allowed: {allowed}")
    if not rows:
        from glint.lighting.illumination import Spot

        return _of_rows(Spot._fields, [])
    return _of_rows(rows[0]._fields, rows)


def _of_rows(names: Sequence[str], rows: Sequence[Sequence[Any]]) -> dict[str, np.ndarray]:
    return {name: np.array([_cell(row[i]) for row in rows]) for i, name in enumerate(names)}


def _cell(value: Any) -> Any:
    return " ".join(map(str, value)) if isinstance(value, tuple | list) else value


def _of_arrays(fields: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    found = {}
    for name, values in fields.items():
        for place in np.ndindex(values.shape[1:]):
            steps = [str(step) for step in place]
            if steps and values.shape[-1] == len(_AXES):
                steps[-1] = _AXES[place[-1]]
            found["_".join([name, *steps])] = values[(slice(None), *place)].copy()
    return found
