"""The eye's view, frame after frame: one exposure for all, and spots streaked by the shutter."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from glint.optics.arrays import Beams
from glint.picture.develop import develop, eye_exposure
from glint.picture.eye import EyeView
from glint.rig.light import beams
from glint.rig.pose import Pose
from glint.rig.running import RunningLight
from glint.rig.scene import Scene

TEXELS = (512, 1536)
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
        texels = min(max(size[0], TEXELS[0]), TEXELS[1])
        self.scene = scene
        self.view = EyeView(scene, size, texels, SAMPLES)
        nothing = np.zeros(3)
        self.running = {
            surface.name: RunningLight(scene, surface, texels, nothing)
            for surface in scene.room.surfaces
        }

    @property
    def texel(self) -> float:
        """Side of a texel of what is overhead, m."""
        first = next(iter(self.running.values()))
        return math.sqrt(first.chart.texel_area)

    def luminance(self, poses: Sequence[Pose]) -> NDArray[np.float32]:
        """What is seen while the shutter is open over some poses, equally long each.

        Spots and flashes are the mean of all poses; the balls stand as in the middle one.
        """
        for running in self.running.values():
            running.show(poses)
        found = [beams(pose)[0] for pose in poses]
        every = Beams._make(np.concatenate(column) for column in zip(*found, strict=True))
        shared = every._replace(share=every.share / len(poses))
        return self.view.frame(poses[len(poses) // 2], self.running, shared)


def eye_frames(
    scene: Scene,
    size: tuple[int, int],
    count: int,
    moments: Callable[[int, float], list[Fraction]],
    stops: float,
) -> Iterator[NDArray[np.uint8]]:
    """Eight-bit frames of a loop, (h, w, 3) uint8 each.

    moments: of a frame's number and the side of a texel, m: the seconds that it is the mean of.
    stops: brighter than the automatic exposure.
    """
    film = EyeFilm(scene, size)

    def seen(number: int) -> NDArray[np.float32]:
        times = moments(number, film.texel)
        return film.luminance([scene.at(seconds=float(time)) for time in times])

    judged = [eye_exposure(seen(round(k * count / JUDGED) % count)) for k in range(JUDGED)]
    exposure = float(np.median(judged)) * 2.0**stops
    for number in range(count):
        yield develop(seen(number), exposure)
