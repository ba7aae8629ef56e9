"""Where every ball is at one instant."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from glint.kernels.arrays import Floats, Polygons
from glint.kernels.geometry.rigid_transform import stand

if TYPE_CHECKING:
    from glint.scene.scene import Scene


@dataclass(frozen=True)
class Pose:
    """A scene with every ball turned about its cord by its angle, and every cord leaning; rad.

    seconds: the moment
    """

    scene: Scene
    angles: tuple[float, ...]
    seconds: float = 0.0

    @cached_property
    def leans(self) -> tuple[float, ...]:
        """How far each cord leans, rad."""
        return tuple(ball.lean(self.seconds) for ball in self.scene.balls)

    @cached_property
    def _stances(self) -> tuple[Floats, Floats]:
        rows = zip(self.scene.balls, self.angles, self.leans, strict=True)
        rotations, centres = zip(*(b.stance(angle, lean) for b, angle, lean in rows), strict=True)
        return np.array(rotations), np.array(centres)

    @property
    def rotations(self) -> Floats:
        """From each ball's frame to the room's: (b, 3, 3) float."""
        return self._stances[0]

    @property
    def centres(self) -> Floats:
        """Each ball's centre, m: (b, 3) float."""
        return self._stances[1]

    @cached_property
    def polygons(self) -> Polygons:
        """All panels and tiles in the room's frame, in the order of Scene.still_polygons."""
        still = self.scene.still_polygons
        corners, normals = np.empty_like(still.corners), np.empty_like(still.normals)
        ends = np.searchsorted(still.ball, np.arange(len(self.angles) + 1))
        for b, (turn, centre) in enumerate(zip(self.rotations, self.centres, strict=True)):
            first, last = ends[b], ends[b + 1]
            stand(still.corners, still.normals, turn, centre, first, last, corners, normals)
        return still._replace(corners=corners, normals=normals)
