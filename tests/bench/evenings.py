"""The scenes that are timed, and the same told to the photon tracer."""

from __future__ import annotations

import numpy as np

from glint.optics.lightmap import add_beams
from glint.rig.light import beams
from glint.rig.pose import Pose
from glint.rig.scene import Scene, build
from glint.rig.survey import chart_of
from glint.scene.read import scene_of

RAISED = [{"do": "open", "sides": 5}, {"do": "raise", "sides": 5}]


def ring_laid(diameter: float = 0.49, edge_mm: float = 25.0, gap_mm: float = 2.0) -> Scene:
    """The ordinary mirror ball in a dome of 4 m, and one lamp that covers the ball."""
    shape = {"base": "rings", "diameter_m": diameter, "gap_mm": gap_mm}
    beam = max(12.0, 40.0 * diameter)
    return _evening(shape, {"edge_mm": edge_mm}, {"beam_deg": beam})


def raised() -> Scene:
    """A rhombicosidodecahedron with its pentagons raised: light goes to and fro between tiles."""
    return _evening({"base": "rhombicosidodecahedron", "steps": RAISED}, {}, {"beam_deg": 9.0})


def _evening(shape: dict, tile: dict, lamp: dict) -> Scene:
    tables = {
        "room": {"radius_m": 4.0},
        "tile": tile,
        "ball": [{"shape": shape, "hang": {"height_m": 2.4}}],
        "lamp": [{"at_m": [3.0, 0.0, 1.6], **lamp}],
    }
    return build(scene_of(tables))


def mirrored(pose: Pose, texels: int) -> np.ndarray:
    """What the mirrors send onto the dome: (texels, texels, 3) float32 lx, traced and mapped."""
    found, _ = beams(pose)
    chart = chart_of(pose.scene.room.surfaces[0], texels)
    lux = np.zeros((*chart.size, 3), np.float32)
    add_beams(found, pose.scene.lamp_arrays, chart, lux)
    return lux


def white(lux: np.ndarray, scene: Scene) -> np.ndarray:
    """Photometric lux (h, w) float of a map of the first lamp alone."""
    return lux[..., 1].astype(float) / scene.lamps[0].colour[1]
