"""Surfaces as the kernels see them: charts at a resolution."""

from __future__ import annotations

import numpy as np

from glint.kernels.surfaces.equal_area import CAP, CONE, CYLINDER, DISC, FLAT, Chart
from glint.room.surface import Surface

KINDS = {"cap": CAP, "disc": DISC, "cylinder": CYLINDER, "cone": CONE, "flat": FLAT}


def chart_of(surface: Surface, texels: int) -> Chart:
    """The chart of a surface at a resolution."""
    size = np.array(surface.size(texels), np.int64)
    return Chart(KINDS[surface.kind], size, surface.place(texels), surface.form)
