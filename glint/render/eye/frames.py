"""The eye's view, frame after frame: one exposure for all, and spots streaked by the shutter."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from glint.kernels.camera.dirty_blocks import dirty_blocks_of, reached
from glint.lighting.incremental import IncrementalLightMap, beams_over
from glint.lighting.shadows import silhouettes
from glint.render.eye.view import EyeView
from glint.render.tone.eye_exposure import develop, eye_exposure
from glint.scene.scene import Pose, Scene

FINENESS = 0.6
"""Texels across a light map, for each pixel across the picture: spots have soft edges."""

TEXELS = (384, 1536)
"""Least and most width of the light maps."""

JUDGED = 5
"""Frames of a loop that its exposure is judged by; their middle counts, so that a lamp that
flashes into the eye in one of them does not darken the rest."""

SAMPLES = 4


class EyeFilm:
    """An eye's view that follows one pose after another.

    size: width and height, pixels.
    """

    def __init__(self, scene: Scene, size: tuple[int, int]) -> None:
        texels = min(max(round(FINENESS * size[0]), TEXELS[0]), TEXELS[1])
        self.scene, self.size = scene, size
        self.view = EyeView(scene, size, texels, SAMPLES)
        nothing = np.zeros(3)
        self.running = {
            surface.name: IncrementalLightMap(scene, surface, texels, nothing)
            for surface in scene.room.surfaces
        }
        self._drawn = np.zeros((size[1], size[0], 3), np.float32)
        self._whole = np.zeros_like(self._drawn)
        self.changed = np.ones_like(self.view.moving)
        self._laid, self._was_over = self.changed, True
        self._watch = dirty_blocks_of(
            self.view.backdrop,
            self.view.room,
            [one.blocks.leaf.shape[:2] for one in self.running.values()],
            size,
        )

    @property
    def texel(self) -> float:
        """Side of a texel of what is overhead, m."""
        first = next(iter(self.running.values()))
        return math.sqrt(first.chart.texel_area)

    def luminance(self, poses: Sequence[Pose]) -> NDArray[np.float32]:
        """What is seen while the shutter is open over some poses, equally long each.

        The picture is overwritten by the next call; `changed` are the blocks of eight pixels that
        differ from what the last call made of it.
        """
        # The balls' shadows hardly move meanwhile: their edges are far softer than that.
        found, shadows = beams_over(poses), silhouettes(poses[len(poses) // 2])
        for running in self.running.values():
            running.show(poses, found, shadows)
        leaves = {name: one.changed for name, one in self.running.items()}
        self.view.light(self.running, leaves)
        anew = reached(self._watch, list(leaves.values())) | self._laid | self.view.moving
        self._laid, over = self.view.draw(poses, found, self._drawn, anew)
        is_over = self.view.lay_over(over, self._drawn, self._whole)
        self.changed = anew | self._laid
        if is_over or self._was_over:
            self.changed = np.ones_like(self.changed)
        self._was_over = is_over
        return self._whole if is_over else self._drawn


def eye_frames(
    scene: Scene,
    size: tuple[int, int],
    count: int,
    exposures: Callable[[int, float], list[tuple[float, list[Fraction]]]],
    stops: float,
    numbers: Iterable[int],
) -> Iterator[NDArray[np.uint8]]:
    """Eight-bit frames of a loop, (h, w, 3) uint8 each.

    exposures: of a frame's number and the side of a texel, m: shares of its light, and the moments,
    s, that each is the mean of. stops: brighter than the automatic exposure. numbers: of the
    frames that are wanted, out of count.
    """
    film = EyeFilm(scene, size)

    def seen(number: int) -> tuple[NDArray[np.float32], bool]:
        """A frame's luminance, and whether it is mixed of several exposures."""
        parts = exposures(number, film.texel)
        if len(parts) == 1:
            return film.luminance(scene.poses(parts[0][1])), False
        total = np.zeros((size[1], size[0], 3), np.float32)
        for share, times in parts:
            total += np.float32(share) * film.luminance(scene.poses(times))
        return total, True

    judged = [eye_exposure(seen(round(k * count / JUDGED) % count)[0]) for k in range(JUDGED)]
    exposure = float(np.median(judged)) * 2.0**stops
    # Of the first frame all is written.
    picture, was_mixed = np.zeros((size[1], size[0], 3), np.uint8), True
    for number in numbers:
        shown, mixed = seen(number)
        # What was mixed may be anywhere, and so may be what takes its place.
        changed = np.ones_like(film.changed) if mixed or was_mixed else film.changed
        was_mixed = mixed
        yield develop(shown, exposure, picture, changed).copy()
