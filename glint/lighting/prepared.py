"""What lighting a scene needs again and again, worked out once; what an edit leaves as it was is
shared with the scene before."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.errors import Problem, SceneError
from glint.kernels.arrays import NO_LAMPS, Floats, Lamps, OccluderLists
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.surfaces.texel_tree import TexelTree, texel_tree
from glint.lighting.strings.cavity import LedCavity, led_cavity
from glint.photometry.intensity_table import smoothed
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.cache import Same
from glint.scene.scene import Scene


def lighting_of(scene: Scene) -> SceneLighting:
    """The scene as lighting sees it; the same object each time, as long as the scene lives."""
    return scene.memory.setdefault("lighting", SceneLighting(scene))


@dataclass(frozen=True, eq=False)
class SceneLighting:
    """Occluder lists, lamps as arrays, cavities with LEDs and texel trees of a scene."""

    scene: Scene

    @cached_property
    def occluders(self) -> OccluderLists:
        """Which panels and tiles can stand in each tile's way; the same in every pose.

        Raises SceneError where that takes more memory than anybody has.
        """
        # Tiles that sit askew may overlook each other on a convex body too, as may plugs of holes.
        convex = [
            ball.body.convex and ball.tile.tilt_sd_deg == 0.0 and ball.hole == 0.0
            for ball in self.scene.balls
        ]
        bodies = tuple(
            (Same(ball.body), flag, ball.hole)
            for ball, flag in zip(self.scene.balls, convex, strict=True)
        )
        try:
            return self.scene.cache.get(
                ("occluders", bodies),
                lambda: occluder_lists(self.scene.still_polygons, np.array(convex)),
            )
        except OverflowError:
            tiles = sum(len(ball.body.tile_sides) for ball in self.scene.balls)
            found = f"{tiles} tiles on bodies so rugged that most of them overlook each other"
            problem = Problem("[[ball]]", found, "fewer tiles or balls, or less tilt_sd_deg")
            raise SceneError(self.scene.shown, [problem]) from None

    @cached_property
    def cavities(self) -> tuple[LedCavity, ...]:
        """What shines inside the balls that have strings, one each."""
        lit = sorted({string.ball for string in self.scene.strings})
        return tuple(led_cavity(self.scene, ball) for ball in lit)

    def blocks(self, surface: Surface, texels: int) -> TexelTree:
        """A surface's blocks at a resolution, kept from the first time on."""
        key = ("texel tree", Same(surface), texels)
        return self.scene.cache.get(key, lambda: texel_tree(chart_of(surface, texels)))

    @cached_property
    def lamp_arrays(self) -> Lamps:
        """The lamps as the kernels take them."""
        if not self.scene.lamps:
            return NO_LAMPS
        nearest = [
            min(float(np.linalg.norm(b.centre - lamp.position)) for b in self.scene.balls)
            for lamp in self.scene.lamps
        ]
        planes = np.array([len(lamp.intensity.candela) for lamp in self.scene.lamps], np.int64)
        columns = self.scene.lamps[0].intensity.candela.shape[1]
        candela = np.zeros((len(self.scene.lamps), planes.max(), columns))
        spread = np.zeros_like(candela)
        kept: dict[tuple[bytes, float, float], Floats] = {}
        for row, (lamp, distance) in enumerate(zip(self.scene.lamps, nearest, strict=True)):
            candela[row, : planes[row]] = lamp.intensity.candela
            angle = lamp.lens_radius / distance
            alike = (lamp.intensity.candela.tobytes(), lamp.intensity.s_end, angle)
            if alike not in kept:
                kept[alike] = smoothed(lamp.intensity, angle)
            spread[row, : planes[row]] = kept[alike]
        return Lamps(
            position=np.array([lamp.position for lamp in self.scene.lamps]),
            frame=np.array([lamp.frame for lamp in self.scene.lamps]),
            lens_radius=np.array([lamp.lens_radius for lamp in self.scene.lamps]),
            colour=np.array([lamp.colour for lamp in self.scene.lamps]),
            lumens=np.array([lamp.lumens for lamp in self.scene.lamps]),
            candela=candela,
            spread=spread,
            planes=planes,
            sine_end=np.array([lamp.intensity.s_end for lamp in self.scene.lamps]),
            sphere=np.zeros(len(self.scene.lamps)),
        )
