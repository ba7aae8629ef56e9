"""Where every ball is at one instant."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from glint.optics.arrays import Floats, Polygons

if TYPE_CHECKING:
    from glint.rig.scene import Scene


@dataclass(frozen=True)
class Pose:
    """A scene with every ball turned by its angle, rad, about its hanging axis.

    seconds: the moment, for what twinkles
    """

    scene: Scene
    angles: tuple[float, ...]
    seconds: float = 0.0

    @cached_property
    def polygons(self) -> Polygons:
        """All panels and tiles in the room's frame, in the order of Scene.still_polygons."""
        still = self.scene.still_polygons
        turns = np.array([_about_z(angle) for angle in self.angles])[still.ball]
        centres = np.array([ball.centre for ball in self.scene.balls])[still.ball]
        corners = np.einsum("nij,nvj->nvi", turns, still.corners) + centres[:, None]
        normals = np.einsum("nij,nj->ni", turns, still.normals)
        return still._replace(corners=corners, normals=normals)


def _about_z(angle: float) -> Floats:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
