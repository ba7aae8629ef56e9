"""The first run after an installation: two processes compile at once.

Kernels are compiled where they are first needed, one after the other, which takes one core twice
the time. So a first run begins with two processes that compile half each of what every picture
needs, and leave it in the cache that both share. That only saves time: what the second process
does not do, the first does for itself.
"""

from __future__ import annotations

from concurrent.futures import wait

import numpy as np

from glint.kernels.arrays import NO_BEAMS
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.geometry.silhouette import lifted, star_silhouette
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.runtime.cache import is_cold
from glint.kernels.runtime.way import PRIVATE
from glint.lighting.illumination import LightMap, beams, sampled
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.parallel.processes import Processes
from glint.render.still import shown
from glint.room.charts import chart_of
from glint.scene.build import build
from glint.schema.read import scene_of

SMALLEST = {
    "room": {"radius_m": 3.0},
    "ball": [{"shape": {"base": "cube"}}],
    "lamp": [{"at_m": [2.0, 0.0, 1.0]}],
}
"""A scene as small as can be."""

TRIANGLE = np.array([[[1.0, 0.0, 1.0], [-1.0, 1.0, 1.0], [-1.0, -1.0, 1.0]]])
"""A body as small as can be, 1 m ahead of its lamp."""

TEXELS = 64
"""The width of its light maps."""


def compile_ahead() -> None:
    """Compile what every picture needs, together with a second process, where nothing is compiled
    yet. Compiled plainly, other kernels than these are kept, and no two processes share work."""
    if not (PRIVATE and is_cold()):
        return
    with Processes(1) as other:
        half = other.submit(light_and_draw)
        follow_and_shade()
        # What it is still at would take this one longer.
        wait([half])


def follow_and_shade() -> None:
    """Follow a lamp's light over a ball, and light the room around the ball's shadow.

    Of the shadow's silhouette the second process has the code by then.
    """
    pose = build(scene_of(SMALLEST)).at(degrees=0.0)
    occluder_lists(pose.polygons)
    beams(pose)
    chart = chart_of(pose.scene.room.surfaces[0], TEXELS)
    lux = np.zeros((*chart.size, 3), np.float32)
    add_direct_light(lighting_of(pose.scene).lamp_arrays, silhouettes(pose), chart, lux)


def light_and_draw() -> None:
    """Find a silhouette, light a room by beams, of which there are none, and draw it."""
    lens, frame, ahead = np.zeros(3), np.eye(3), np.array([0.0, 0.0, 1.0])
    ring = star_silhouette(TRIANGLE, np.array([3]), lens, frame, ahead, 0.0)
    lifted(ring, lens, frame, ahead, 1.0)
    scene = build(scene_of(SMALLEST))
    surface = scene.room.surfaces[0]
    chart = chart_of(surface, TEXELS)
    lux = np.zeros((*chart.size, 3), np.float32)
    add_beams(NO_BEAMS, lighting_of(scene).lamp_arrays, chart, lux)
    ambient, inside = scene.room.ambient, lighting_of(scene).blocks(surface, TEXELS).inside
    maps = {surface.name: LightMap(surface, chart, lux, ambient, inside, sampled(lux))}
    shown(maps, (surface.name,), room=scene.room)
