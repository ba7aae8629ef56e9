"""Where every lumen of every string went."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glint.kernels.arrays import Beams, Flags
from glint.kernels.cavity.aperture_glow import add_glow
from glint.kernels.illuminance.light_map import add_beams
from glint.lighting.illumination import summed
from glint.lighting.openings import darken, open_texels
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.cavity import LedCavity
from glint.photometry.colour import LUMINANCE
from glint.room.charts import chart_of
from glint.scene.scene import Pose


@dataclass(frozen=True)
class StringAudit:
    """Where one string's lumens went at a moment.

    lumens: of all LEDs as bright as they are; walls: absorbed by the inner walls
    absorbed: in mirrors outside; caught: by panels, and backs and rims of tiles, outside
    cut_off: chains not followed; all of them of straight light and of the glow together
    landed, glow: straight from LEDs, and by way of the walls, by surface
    left: by openings of the room, both together; all lm
    radiance: luminance of the openings, cd/m**2, of this string's light alone
    """

    string: str
    ball: str
    leds: int
    lumens: float
    walls: float
    absorbed: float
    caught: float
    cut_off: float
    landed: dict[str, float]
    glow: dict[str, float]
    radiance: float
    left: float = 0.0

    @property
    def out(self) -> float:
        """Lumens that reach the room, those among them that leave it again."""
        return sum(self.landed.values()) + sum(self.glow.values()) + self.left

    @property
    def closure(self) -> float:
        """What was not found again, as a share of the string's lumens."""
        found = self.walls + self.absorbed + self.caught + self.cut_off + self.out
        return (self.lumens - found) / self.lumens if self.lumens else 0.0


def audit_strings(pose: Pose, texels: int = 1024) -> list[StringAudit]:
    """One audit a string.

    What comes to the openings is found from their windows, what the walls do by the integrating
    sphere, what mirrors and rims do to the glow by rays; what lands is summed from light maps.
    """
    rows = []
    for inside in lighting_of(pose.scene).cavities:
        bright = inside.brightness(pose.seconds)
        first = 0
        for string in inside.strings:
            mine = np.zeros(len(bright))
            mine[first : first + len(string.points)] = 1.0
            first += len(string.points)
            rows.append(_audit(pose, inside, string.name, bright * mine, texels))
    return rows


def _audit(pose: Pose, inside: LedCavity, name: str, share: np.ndarray, texels: int) -> StringAudit:
    scene, lamps, fates = pose.scene, inside.lamps, inside.fates
    turn, centre = pose.rotations[inside.ball], pose.centres[inside.ball]
    beams, placed = inside.placed(turn, centre, share)
    lit = share[beams.lamp] > 0.0
    beams = Beams._make(column[lit] for column in beams)
    radiance = inside.radiance(share)
    landed, glow, left = {}, {}, 0.0
    for surface in scene.room.surfaces:
        chart, blocks = chart_of(surface, texels), lighting_of(scene).blocks(surface, texels)
        lux = np.zeros((*chart.size, 3), np.float32)
        add_beams(beams, placed, chart, lux, blocks)
        openings = open_texels(scene, surface, texels)
        left += _gone(lux, openings, chart.texel_area)
        landed[surface.name] = _lumens(lux, chart.texel_area)
        lux[:] = 0.0
        add_glow(inside.aperture_glow, centre, turn, radiance, chart, lux)
        left += _gone(lux, openings, chart.texel_area)
        glow[surface.name] = _lumens(lux, chart.texel_area)
    luminance = float(LUMINANCE @ radiance)
    walls = float(((lamps.lumens - inside.through) * share).sum())
    leaving = np.pi * luminance * inside.open_area
    aperture_glow = inside.aperture_glow
    return StringAudit(
        name,
        scene.balls[inside.ball].name,
        int((share > 0.0).sum()),
        float((lamps.lumens * share).sum()),
        walls - leaving,
        float(fates.absorbed.sum(axis=1) @ share) + aperture_glow.absorbed * leaving,
        float(fates.caught.sum(axis=1) @ share) + aperture_glow.caught * leaving,
        float(fates.cut_off.sum(axis=1) @ share),
        landed,
        glow,
        luminance,
        left,
    )


def _gone(lux: np.ndarray, openings: Flags | None, texel_area: float) -> float:
    """Lumens of a map that leave, which are taken off it."""
    if openings is None:
        return 0.0
    gone = float(lux[openings].sum(axis=0, dtype=np.float64) @ LUMINANCE) * texel_area
    darken(lux, openings)
    return gone


def _lumens(lux: np.ndarray, texel_area: float) -> float:
    return float(summed(lux) @ LUMINANCE) * texel_area
