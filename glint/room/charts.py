"""Surfaces as the kernels see them: charts at a resolution."""

from __future__ import annotations

import numpy as np

from glint.kernels.surfaces.equal_area import Chart
from glint.room.surface import Surface


def chart_of(surface: Surface, texels: int) -> Chart:
    """The chart of a surface at a resolution."""
    size = np.array(surface.size(texels), np.int64)
    return Chart(surface.kind, size, surface.place(texels), surface.form)
