"""Rows as CSV (RFC 4180)."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence


def csv_of(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as CSV, every number with all its digits; what is not defined is an empty cell."""
    held = io.StringIO()
    writer = csv.writer(held)
    writer.writerow(heads)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return held.getvalue()


def _cell(value: object) -> object:
    if not isinstance(value, float):
        return value
    return repr(float(value)) if math.isfinite(value) else ""
