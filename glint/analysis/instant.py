"""What measures of one instant are computed from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from glint.analysis.uniformity import Cells
from glint.kernels.arrays import Beams, Floats, Integers
from glint.lighting.spots import Spots
from glint.room.overhead import Overhead
from glint.room.solid_angle_region import Sky
from glint.scene.scene import Pose


@dataclass(frozen=True)
class Setting:
    """What stays the same over a turn.

    roof: what is overhead; cells, points: (n, 6) float, that share it evenly, with normals; bare:
    (n,) bool, points that carry nothing; sky: of directions; solid_angle: as seen from the eye, sr.
    least_lux: from which a spot is visible. tiles, grams, lumens: of all balls and lamps.
    """

    roof: Overhead
    cells: Cells
    points: Floats
    bare: NDArray[np.bool_]
    sky: Sky
    solid_angle: float
    least_lux: float
    tiles: int
    grams: float
    lumens: float


@dataclass(frozen=True)
class Instant:
    """One pose, its beams, all spots and those that are visible."""

    setting: Setting
    pose: Pose
    beams: Beams
    spots: Spots
    visible: Spots

    @cached_property
    def above(self) -> Floats:
        """Middles of the visible spots overhead: (n, 3) float, m."""
        return self.visible.point[self.visible.surface < self.pose.scene.room.above]

    @cached_property
    def counts(self) -> Integers:
        """Visible spots in each cell overhead."""
        return self.setting.cells.counts(self.above)

    def share_on(self, surface: str) -> float | None:
        """Share of the lamps' lumens that mirrors send to a surface; None without lamps."""
        if not self.setting.lumens:
            return None
        names = [one.name for one in self.pose.scene.room.surfaces]
        there = self.spots.surface == names.index(surface)
        return float(self.spots.lumens[there].sum()) / self.setting.lumens
