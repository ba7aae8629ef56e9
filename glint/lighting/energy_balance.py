"""The energy audit: where every lumen of every lamp went."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glint.errors import require_kind
from glint.kernels.arrays import MOST_CORNERS, Beams, Flags, Lamps
from glint.kernels.illuminance.direct_light import Silhouettes, add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.sources.luminous_intensity import window_lumens
from glint.lighting.illumination import A_POSE, beams
from glint.lighting.openings import darken, open_texels
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.room.charts import chart_of
from glint.scene.scene import Pose


@dataclass(frozen=True)
class Audit:
    """Where one lamp's lumens went.

    absorbed: in mirrors; caught: by panels and backs of tiles; cut_off: chains not followed;
    landed: by mirrors, by surface; direct: straight from the lamp, by surface
    left: by openings of the room, by mirrors and straight; all lm
    """

    lamp: str
    lumens: float
    absorbed: float
    caught: float
    cut_off: float
    landed: dict[str, float]
    direct: dict[str, float]
    left: float = 0.0

    @property
    def closure(self) -> float:
        """What was not found again, as a share of the lamp's lumens."""
        found = self.absorbed + self.caught + self.cut_off + self.left
        found += sum(self.landed.values()) + sum(self.direct.values())
        return (self.lumens - found) / self.lumens


def audit(pose: Pose, texels: int = 1024) -> list[Audit]:
    """One audit a lamp.

    What mirrors do comes from the traced windows, what the balls cover from their silhouette, and
    what lands from summing light maps: three ways that must agree for the audit to close.
    """
    require_kind("pose", pose, Pose, A_POSE)
    scene, lamps = pose.scene, lighting_of(pose.scene).lamp_arrays
    found, fates = beams(pose)
    covered = silhouettes(pose)
    result = []
    for index, lamp in enumerate(scene.lamps):
        one = Lamps._make(column[index : index + 1] for column in lamps)
        mine = found.lamp == index
        its_beams = Beams._make(column[mine] for column in found)
        its_beams = its_beams._replace(lamp=np.zeros(int(mine.sum()), np.int64))
        shade = _silhouettes_of(covered, index)
        landed, direct, left = {}, {}, 0.0
        for surface in scene.room.surfaces:
            chart = chart_of(surface, texels)
            lux = np.zeros((*chart.size, 3), np.float32)
            blocks = lighting_of(scene).blocks(surface, texels)
            add_beams(its_beams, one, chart, lux, blocks)
            openings = open_texels(scene, surface, texels)
            landed[surface.name], gone = _parted(lux, openings, one, chart.texel_area)
            left += gone
            lux[:] = 0.0
            add_direct_light(one, shade, chart, lux, blocks)
            direct[surface.name], gone = _parted(lux, openings, one, chart.texel_area)
            left += gone
        on_tiles = float(fates.reached[index, 1] + fates.cut_off[index, 0])
        result.append(
            Audit(
                lamp.name,
                float(lamp.lumens),
                float(fates.absorbed[index].sum()),
                # A difference of two sums, each with its own error; what is off shows in closure.
                max(float(fates.caught[index].sum() + covered_lumens(one, shade)) - on_tiles, 0.0),
                float(fates.cut_off[index].sum()),
                landed,
                direct,
                left,
            )
        )
    return result


def _parted(
    lux: np.ndarray, openings: Flags | None, lamp: Lamps, texel_area: float
) -> tuple[float, float]:
    """Lumens of one lamp's map that land, and those that leave; these are taken off the map."""
    gone = 0.0 if openings is None else _lumens(lux[openings], lamp, texel_area)
    darken(lux, openings)
    return _lumens(lux, lamp, texel_area), gone


def _lumens(lux: np.ndarray, lamp: Lamps, texel_area: float) -> float:
    """Lumens of one lamp's map; all channels are in the ratio of the lamp's colour."""
    channel = int(np.argmax(lamp.colour[0]))
    total = float(lux[..., channel].sum(dtype=np.float64)) * texel_area
    return total / float(lamp.colour[0, channel])


def covered_lumens(lamps: Lamps, silhouettes: Silhouettes) -> float:
    """Lumens of a single lamp that its cut-outs cover.

    Every edge makes a triangle with the silhouette's first corner; their lumens add up, with the
    sign of their sense of rotation, to those of the silhouette with its holes.
    """
    total = 0.0
    lens, frame = lamps.position[0], lamps.frame[0]
    for first, last in zip(silhouettes.start[:-1], silhouettes.start[1:], strict=True):
        edges = silhouettes.edges[first:last]
        triangle = np.zeros((MOST_CORNERS, 3))
        part = 0.0
        for a, b in edges:
            triangle[0], triangle[1], triangle[2] = edges[0, 0], a, b
            turn = np.cross(a - edges[0, 0], b - edges[0, 0]) @ (edges[0, 0] - lens)
            part += np.sign(turn) * window_lumens(lamps, 0, lens, frame, triangle, 3)
        total += abs(part)
    return total


def _silhouettes_of(silhouettes: Silhouettes, lamp: int) -> Silhouettes:
    mine = np.flatnonzero(silhouettes.lamp == lamp)
    edges = [silhouettes.edges[silhouettes.start[o] : silhouettes.start[o + 1]] for o in mine]
    start = np.cumsum([0, *(len(e) for e in edges)])
    together = np.concatenate(edges) if edges else np.zeros((0, 2, 3))
    alone = np.zeros(len(mine), np.int64)
    return Silhouettes(together, start.astype(np.int64), alone, alone)
