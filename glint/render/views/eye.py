"""What somebody sees."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from glint.render.views.view import Exposures, Size, View


class Eye(View):
    """The view from where the scene's [eye] table says, balls and lamps in it."""

    name = "eye"
    words = "what somebody sees"
    height = 720
    wide = 16 / 9
    of_maps = False

    def texels(self, size: Size) -> int:
        """As in View."""
        return min(max(1024, 2 * max(size)), 3072)

    def still(self, pose: Any, size: int | Size | None, ev: float) -> Any:
        """As in View."""
        from glint.render.still import eye_luminance
        from glint.render.tone.eye_exposure import develop, eye_exposure

        whole = self.size(size)
        seen = eye_luminance(pose, whole, self.texels(whole))
        return develop(seen, eye_exposure(seen) * 2.0**ev)

    def frames(
        self, scene: Any, size: Size, count: int, exposures: Exposures, stops: float, numbers: range
    ) -> Iterator[Any]:
        """As in View."""
        # Its kernels take other views a while to pass by.
        from glint.render.eye.frames import eye_frames

        return eye_frames(scene, size, count, exposures, stops, numbers)
