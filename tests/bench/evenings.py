"""The scenes that are timed, and the same told to the photon tracer."""

from __future__ import annotations

import numpy as np

from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.surfaces.texel_tree import texel_tree
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.room.charts import chart_of
from glint.scene.build import build
from glint.scene.scene import Pose, Scene
from glint.schema.read import scene_of

RAISED = [{"do": "open", "sides": 5}, {"do": "raise", "sides": 5}]


def ring_laid(
    diameter: float = 0.49,
    edge_mm: float = 25.0,
    gap_mm: float = 2.0,
    lamps: int = 1,
    wide: float = 1.0,
) -> Scene:
    """The ordinary mirror ball in a dome of 4 m, and lamps all around that cover it. wide: how many
    times as large the dome is, with all distances in it."""
    shape = {"base": "rings", "diameter_m": diameter, "gap_mm": gap_mm}
    beam = max(12.0, 40.0 * diameter) / wide
    return _evening(shape, {"edge_mm": edge_mm}, {"beam_deg": beam}, lamps, wide=wide)


def raised() -> Scene:
    """A rhombicosidodecahedron with its pentagons raised: light goes to and fro between tiles."""
    return _evening({"base": "rhombicosidodecahedron", "steps": RAISED}, {}, {"beam_deg": 9.0})


def spiked(bounces: int = 4) -> Scene:
    """Spikes on spikes: 720 tiles, of which light meets up to so many one after the other."""
    shape = {"base": "icosahedron", "steps": [{"do": "spike", "sides": 3, "levels": 2}]}
    tile = {"edge_mm": 20.0, "panel_edge_mm": 26.0, "thickness_mm": 1.5}
    return _evening(shape, tile, {"beam_deg": 5.0}, bounces=bounces)


def _evening(
    shape: dict, tile: dict, lamp: dict, lamps: int = 1, bounces: int = 4, wide: float = 1.0
) -> Scene:
    around = 2.0 * np.pi * np.arange(lamps) / lamps
    across, along = 3.0 * np.cos(around), 3.0 * np.sin(around)
    places = wide * np.column_stack([across, along, np.full(lamps, 1.6)])
    tables = {
        "room": {"radius_m": 4.0 * wide},
        "tile": tile,
        "ball": [{"shape": shape, "hang": {"height_m": 2.4 * wide}}],
        "lamp": [{"at_m": place, **lamp} for place in places.tolist()],
        "optics": {"bounces": bounces},
    }
    return build(scene_of(tables))


class MirrorMap:
    """What the mirrors send onto the dome, pose after pose, in arrays kept as in a loop."""

    def __init__(self, scene: Scene, texels: int) -> None:
        surface = scene.room.surfaces[0]
        self.scene, self.chart = scene, chart_of(surface, texels)
        self.blocks = lighting_of(scene).blocks(surface, texels)
        self.lux = np.zeros((*self.chart.size, 3), np.float32)
        self.dark = np.zeros_like(self.lux)
        self.touched = np.zeros(self.blocks.leaf.shape[:2], np.bool_)

    def of(self, pose: Pose) -> np.ndarray:
        """Traced and mapped: (texels, texels, 3) float32 lx, overwritten by the next."""
        before, self.touched = self.touched, np.zeros_like(self.touched)
        found, lamps, kept = (
            beams(pose)[0],
            lighting_of(self.scene).lamp_arrays,
            (self.dark, before),
        )
        add_beams(found, lamps, self.chart, self.lux, self.blocks, self.touched, *kept)
        return self.lux


def mirrored(pose: Pose, texels: int) -> np.ndarray:
    """What the mirrors send onto the dome: (texels, texels, 3) float32 lx, traced and mapped."""
    return MirrorMap(pose.scene, texels).of(pose)


def whole_texels(scene: Scene, texels: int) -> np.ndarray:
    """Texels of the dome's map that lie on it with all of their area: (texels, texels) bool."""
    fine = chart_of(scene.room.surfaces[0], 4 * texels)
    inside = texel_tree(fine).inside
    return inside.reshape(texels, 4, texels, 4).all(axis=(1, 3))


def white(lux: np.ndarray, scene: Scene) -> np.ndarray:
    """Photometric lux (h, w) float of a map of the first lamp alone."""
    return lux[..., 1].astype(float) / scene.lamps[0].colour[1]
