"""The frames of a loop of what is overhead, or of the floor."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from glint.lighting.illumination import beams, lit
from glint.lighting.incremental import IncrementalLightMap, beams_over
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import IncrementalStringMap
from glint.render.canvas import centred, side_of_map
from glint.render.still import exposure_for, together
from glint.render.tone.mapping import to_picture
from glint.render.views.view import Exposures, Size
from glint.room.room import Room
from glint.scene.scene import Scene

Exposure = tuple[float, list[Fraction]]


def map_frames(
    scene: Scene,
    names: Sequence[str],
    size: Size,
    exposures: Exposures,
    stops: float,
    numbers: range,
) -> Iterator[NDArray[np.uint8]]:
    """Frames of some surfaces on one chart, in the middle of a black canvas; see `View.frames`.

    names: of the surfaces, the outermost first.
    """
    room, side, start = scene.room, side_of_map(*size), scene.at(seconds=0.0)
    surfaces = [surface for surface in room.surfaces if surface.name in names]
    strings = {
        surface.name: IncrementalStringMap(scene, surface, side)
        for surface in (surfaces if scene.strings else [])
    }
    maps = lit(start, beams(start)[0], side, tuple(names), strings)
    exposure = exposure_for(maps, names) * 2.0**stops
    outer = maps[names[0]]
    weight = exposure * outer.surface.reflectance / np.pi
    running = [
        IncrementalLightMap(scene, s, side, outer.ambient, strings.get(s.name)) for s in surfaces
    ]
    paints = [_paint(room, maps[s.name], outer.surface.reflectance) for s in surfaces]
    charts = [maps[s.name].chart for s in surfaces]
    texel = math.sqrt(outer.chart.texel_area)
    picture = np.zeros((*outer.chart.size, 3), np.uint8)
    mixed = False
    for number in numbers:
        parts = exposures(number, texel)
        light = gathered(scene, running, parts)
        # What was mixed may be anywhere.
        anew = mixed or len(parts) > 1 or len(running) > 1
        changed = np.ones_like(running[0].changed) if anew else running[0].changed
        mixed = len(parts) > 1
        painted = [lux if p is None else lux * p for lux, p in zip(light, paints, strict=True)]
        to_picture(together(painted, charts), weight, picture, changed)
        shown = centred(picture, *size)
        yield shown.copy() if shown is picture else shown


def gathered(
    scene: Scene, running: Sequence[IncrementalLightMap], parts: Sequence[Exposure]
) -> list[np.ndarray]:
    """The light of a frame on each surface, lx, mixed as light mixes."""
    if len(parts) == 1:
        _show(scene, running, parts[0][1])
        return [one.lux for one in running]
    total = [np.zeros_like(one.lux) for one in running]
    for share, times in parts:
        _show(scene, running, times)
        for sum_, one in zip(total, running, strict=True):
            sum_ += np.float32(share) * one.lux
    return total


def _show(scene: Scene, running: Sequence[IncrementalLightMap], times: Sequence[Fraction]) -> None:
    poses = scene.poses(times)
    if len(running) == 1:
        running[0].show(poses)
        return
    # The balls' shadows hardly move meanwhile: their edges are far softer than that.
    found, shadows = beams_over(poses), silhouettes(poses[len(poses) // 2])
    for one in running:
        one.show(poses, found, shadows)


def _paint(room: Room, first, reflectance: np.ndarray) -> np.ndarray | None:
    """What a surface gives back over a reflectance, the outermost's: (h, w, 3) float32, or None
    where that is 1 all over."""
    surface = first.surface
    if room.is_plain(surface) and surface.reflectance is reflectance:
        return None
    texel = math.sqrt(first.chart.texel_area)
    painted = room.paint(surface, first.point, texel)
    return (painted / np.maximum(reflectance, 1e-9)).astype(np.float32)
