"""A loop without a join: one period of the pattern, each frame as long as the shutter is open."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import partial
from pathlib import Path

import numpy as np

import glint
from glint.picture.ahead import prepared
from glint.picture.develop import eye_width
from glint.picture.eyeloop import eye_frames
from glint.picture.movie import check_movie, write_movie
from glint.picture.still import luminance
from glint.picture.tone import auto_exposure, to_picture
from glint.rig.light import LightMap, light
from glint.rig.motion import period
from glint.rig.running import RunningLight
from glint.rig.scene import Scene
from glint.scene.output import whole_file

STREAK = 3.0
"""Most texels that a spot moves between two instants of one open shutter."""

MOST_INSTANTS = 16


def loop(
    scene: Scene,
    path: str | Path,
    view: str = "dome",
    fps: int = 30,
    size: int = 720,
    shutter: float = 180.0,
    ev: float = 0.0,
    force: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> int:
    """Write a loop of one surface; returns the number of frames.

    The loop lasts one period of the pattern, to the nearest frame, and its frames share out the
    period evenly, so the last is one step before the first. shutter: degrees of each frame's time
    for which it gathers light, 360 the whole; 0 a single instant. One exposure, that of the first
    frame's pattern, holds for all. view: as of `draw`; size: the picture's height in pixels.
    """
    wide = (eye_width(size), size) if view == "eye" else (size, size)
    check_movie(path, wide, fps)
    seconds = period(scene)
    count = max(round(seconds * fps), 2)
    step = seconds / count

    def moments(number: int, texel: float) -> list[Fraction]:
        """Instants in the middle of equal shares of the time that the shutter is open, s."""
        instants = _instants(scene, float(step) * shutter / 360.0, texel)
        parts = [Fraction(2 * k + 1, 2 * instants) for k in range(instants)]
        return [(number + part * Fraction(shutter / 360.0)) * step for part in parts]

    with whole_file(path, force) as place:
        if view == "eye":
            frames = partial(eye_frames, scene, wide, count, moments, ev)
        else:
            frames = partial(_surface_frames, scene, view, size, count, moments, ev)
        metadata = {"title": scene.file.title, "software": f"glint {glint.__version__}"}
        write_movie(
            place, partial(prepared, frames), count, Fraction(count) / seconds, metadata, progress
        )
    return count


def _surface_frames(
    scene: Scene,
    view: str,
    size: int,
    count: int,
    moments: Callable[[int, float], list[Fraction]],
    ev: float,
) -> Iterator[np.ndarray]:
    """Eight-bit frames of one surface, (h, w, 3) uint8 each."""
    name = scene.room.seen_from(view).name
    first = light(scene.at(seconds=0.0), size, name)[name]
    exposure = auto_exposure(luminance(first, scene.room)) * 2.0**ev
    weight = exposure * first.surface.reflectance / np.pi
    paint = _paint(scene, first)
    running = RunningLight(scene, first.surface, size, first.ambient)
    picture = np.zeros((*running.chart.size, 3), np.uint8)
    for number in range(count):
        times = moments(number, math.sqrt(first.chart.texel_area))
        running.show([scene.at(seconds=float(time)) for time in times])
        lit = running.lux if paint is None else running.lux * paint
        to_picture(lit, weight, picture, running.changed)
        yield picture.copy()


def _paint(scene: Scene, first: LightMap) -> np.ndarray | None:
    """What struts and openings make of the fabric's reflectance: (h, w, 3) float32, or None."""
    surface = first.surface
    if scene.room.is_plain(surface):
        return None
    texel = math.sqrt(first.chart.texel_area)
    painted = scene.room.paint(surface, first.point, texel)
    return (painted / np.maximum(surface.reflectance, 1e-9)).astype(np.float32)


def _instants(scene: Scene, seconds: float, texel: float) -> int:
    """Instants that an open shutter is made of, so that a moving spot leaves an even streak.

    A mirror turned by a turns its beam by 2 a: a spot moves at most 2 omega times its distance.
    """
    fastest = max(abs(ball.turning) for ball in scene.balls)
    furthest = 2.0 * max(surface.radius for surface in scene.room.surfaces)
    moved = 2.0 * fastest * furthest * seconds / texel
    return min(max(math.ceil(moved / STREAK), 1), MOST_INSTANTS)
