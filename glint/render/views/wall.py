"""All that is around: a panorama from the middle of the floor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from glint.render.views.view import Exposures, Size, View


class Wall(View):
    """The room's walls, and what is above and below them, by somebody who turns round once: north
    (+y) in the middle, south at both ends. Balls and lamps are left off."""

    name = "wall"
    words = "the walls all around, from the middle of the floor"
    height = 480
    wide = 4.0

    def texels(self, size: Size) -> int:
        """As in View."""
        from glint.render.panorama import texels_for

        return texels_for(size)

    def still(self, pose: Any, size: int | Size | None, ev: float) -> Any:
        """As in View."""
        from glint.lighting.illumination import light

        whole = self.size(size)
        return self.picture(light(pose, self.texels(whole)), pose.scene.room, whole, ev)

    def picture(self, maps: Mapping[str, Any], room: Any, size: Size, ev: float) -> Any:
        """As in View."""
        from glint.lighting.illumination import coloured
        from glint.render.panorama import Panorama
        from glint.render.still import exposure_for
        from glint.render.tone.mapping import to_picture

        every = [maps[surface.name] for surface in room.surfaces]
        lux = [one.lux + coloured(one.inside, one.ambient) for one in every]
        seen = Panorama(room, size, self.texels(size)).luminance(lux)
        return to_picture(seen, exposure_for(maps, tuple(maps)) * 2.0**ev)

    def frames(
        self, scene: Any, size: Size, count: int, exposures: Exposures, stops: float, numbers: range
    ) -> Iterator[Any]:
        """As in View."""
        from glint.render.panorama import panorama_frames

        return panorama_frames(scene, size, exposures, stops, numbers)
