"""The light of pose after pose: what stays is worked out once, what moves is worked out anew."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from glint.kernels.arrays import Beams, Flags
from glint.kernels.illuminance.direct_light import Silhouettes, add_direct_light, shade, together
from glint.kernels.illuminance.light_map import add_beams
from glint.lighting.illumination import beams, coloured
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import IncrementalStringMap
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.scene import Pose, Scene


def beams_over(poses: Sequence[Pose]) -> Beams:
    """The beams of some poses, equally long each: all of them, with their share of the time."""
    found = [beams(pose)[0] for pose in poses]
    every = Beams._make(np.concatenate(column) for column in zip(*found, strict=True))
    return every._replace(share=every.share / len(poses))


class IncrementalLightMap:
    """One surface's light map, kept up to date from pose to pose.

    Nothing but the leaves (blocks of texels) that a beam or a shadow may reach, now or a moment
    ago, is worked on.

    lux: (h, w, 3) float32, linear RGB, lx, ambient included; zero off the surface
    changed: (R, C) bool, leaves that the last call of `show` may have changed
    """

    def __init__(
        self,
        scene: Scene,
        surface: Surface,
        texels: int,
        ambient: np.ndarray,
        strings: IncrementalStringMap | None = None,
    ) -> None:
        """ambient: (3,) float, lx. strings: the scene's, on this surface, if they are there."""
        self.scene, self.surface, self.ambient = scene, surface, np.asarray(ambient, float)
        self.chart = chart_of(surface, texels)
        self.blocks = lighting_of(scene).blocks(surface, texels)
        self._still = coloured(self.blocks.inside, self.ambient)
        nothing = Silhouettes(
            np.zeros((0, 2, 3)), np.zeros(1, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int64)
        )
        add_direct_light(
            lighting_of(scene).lamp_arrays, nothing, self.chart, self._still, self.blocks
        )
        self.lux = self._still.copy()
        if strings is None and scene.strings:
            strings = IncrementalStringMap(scene, surface, texels)
        self._strings = strings
        # Whoever follows `changed` has seen nothing yet.
        self._touched = np.ones(self.blocks.leaf.shape[:2], np.bool_)
        self.changed = self._touched

    def show(
        self,
        poses: Sequence[Pose],
        found: Beams | None = None,
        shadows: Silhouettes | None = None,
    ) -> None:
        """Set lux to the mean over some poses, equally long each.

        found: their beams (`beams_over`) and shadows: their silhouettes, where other surfaces have
        asked for them already.
        """
        before: Flags = self._touched
        now = np.zeros_like(before)
        lamps = lighting_of(self.scene).lamp_arrays
        if shadows is None:
            shadows = together([silhouettes(pose) for pose in poses])
        shade(lamps, shadows, self.chart, self.blocks, self.ambient, self.lux, now)
        shared = beams_over(poses) if found is None else found
        kept = (self._still, before)
        add_beams(shared, lamps, self.chart, self.lux, self.blocks, now, *kept)
        if self._strings is not None:
            # Strings shine everywhere.
            self._strings.add(poses, self.lux)
            now[:] = True
        self._touched, self.changed = now, before | now
