"""All measures of a scene, averaged over a turn."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from glint.optics.arrays import Beams, Floats
from glint.optics.probe import lux_at
from glint.rig.light import beams
from glint.rig.scene import Scene
from glint.room.surface import Surface
from glint.scene.errors import GlintError
from glint.study.average import Figure, Values, averaged, spread_of
from glint.study.cells import Cells, coefficient_of_variation, lattice
from glint.study.energy import energy_over
from glint.study.gap import largest_gap
from glint.study.mass import grams
from glint.study.passes import MOST_FLASHES, Passes, passes
from glint.study.spots import Spots, spots_of
from glint.study.turn import Turn, turn_of

TOLERANCE = 0.01
"""How steady every mean is to be: a standard error of one per cent."""

CELLS = 200
"""Cells of the dome that evenness is judged by."""

POINTS = 20000
"""Points of the dome that cover is judged by, and at which passes are counted."""

FEWEST, MOST = 32, 512
"""Poses."""

WIDEST_STEP = 4.0
"""Degrees that a ball may turn from pose to pose where passes are counted."""

SMALL_SHARE = 2e-3
"""Of shares and passes per second: an error that does not matter."""

Tell = Callable[[int], None]


@dataclass(frozen=True)
class Measures:
    """What a scene's light is like over a turn.

    figures: mean, least and most by name, as glint.study.words defines them
    heights: (8,) float, m above the floor, and density: (8,) float, visible spots a square metre
    of the dome in as many bands of one area each, from the zenith down
    poses, energy_poses: how many the figures took; stable: whether all came within the tolerance
    """

    title: str
    tiles: int
    panels: int
    grams: float
    lumens: float
    diameter: float
    figures: dict[str, Figure]
    heights: tuple[float, ...]
    density: tuple[float, ...]
    poses: int
    energy_poses: int
    degrees: float
    stable: bool


def measure(
    scene: Scene, tolerance: float = TOLERANCE, tell: Tell = lambda poses: None
) -> Measures:
    """Every measure of a scene.

    tolerance: error that a mean may have, as a share of it. tell: called with the poses done.
    Raises GlintError for a room without a dome.
    """
    dome = _dome(scene)
    turn = turn_of(scene)
    energy = energy_over(turn, tolerance)
    view = _View(turn, dome, energy.figures["ambient_lux"].mean, tolerance, tell)
    average = averaged(view.values, FEWEST, MOST, tolerance, view.passes_are_steady)
    figures = {**average.figures, **view.whole_turn(), **energy.figures}
    bands = view.bands()
    return Measures(
        title=scene.file.title,
        tiles=view.tiles,
        panels=sum(len(ball.body.panel_sides) for ball in scene.balls),
        grams=view.grams,
        lumens=float(sum(lamp.lumens for lamp in scene.lamps)),
        diameter=max(2.0 * ball.body.radius for ball in scene.balls),
        figures=figures,
        heights=tuple(bands[0].tolist()),
        density=tuple(bands[1].tolist()),
        poses=average.poses,
        energy_poses=energy.poses,
        degrees=turn.degrees,
        stable=average.stable and energy.stable and view.steady,
    )


def _dome(scene: Scene) -> Surface:
    surface = scene.room.surfaces[0]
    if surface.kind != "cap":
        raise GlintError("measures are defined for a room with a dome")
    return surface


def _grams(scene: Scene) -> float:
    """Grams of mirror glass on all balls."""
    tables = zip(scene.balls, scene.file.ball, strict=True)
    return sum(grams(ball, table.tile.thickness_mm / 1000.0) for ball, table in tables)


class _View:
    """What is kept between the poses of one scene."""

    def __init__(
        self, turn: Turn, dome: Surface, ambient: float, tolerance: float, tell: Tell
    ) -> None:
        scene = turn.scene
        self.turn, self.dome, self.tolerance, self.tell = turn, dome, tolerance, tell
        self.visible_lux = scene.file.visible_contrast * ambient
        self.cells = Cells(dome, CELLS)
        self.points = lattice(dome, POINTS)
        self.rim = math.acos(1.0 - dome.height / dome.radius)
        self.tiles = sum(len(ball.body.tile_sides) for ball in scene.balls)
        self.grams = _grams(scene)
        self.lumens = sum(lamp.lumens for lamp in scene.lamps)
        self.solid_angle = _solid_angle(self.points, dome.area, np.array(scene.file.eye.at_m))
        self.seen: dict[float, Spots] = {}
        self.counts: dict[float, Floats] = {}
        self.passes: Passes | None = None
        self.errors: dict[str, float] = {}
        self.steady = False

    def values(self, share: float) -> Values:
        """Everything that has a value at one instant."""
        pose = self.turn.at(share)
        found, _ = beams(pose)
        visible = self._visible(pose, found)
        self.seen[share] = visible
        above = visible.point[visible.surface == 0]
        counts = self.cells.counts(above)
        self.counts[share] = counts.astype(float)
        away = (above - self.dome.centre) / self.dome.radius
        away /= np.linalg.norm(away, axis=1, keepdims=True)
        lit = lux_at(found, pose.scene.lamp_arrays, self.points) >= max(self.visible_lux, 1e-12)
        number = len(visible.area)
        self.tell(len(self.seen))
        return {
            "spots": float(number),
            "spots_per_tile": number / self.tiles,
            "spots_per_gram": number / self.grams,
            "spots_per_lumen": number / self.lumens,
            "density_per_m2": len(above) / self.dome.area,
            "density_per_sr": len(above) / self.solid_angle,
            "unevenness": coefficient_of_variation(counts),
            "gap_deg": math.degrees(largest_gap(away, self.rim)[0]),
            "cover_share": float(lit.mean()),
            **spread_of(visible.diameter, "size", "m"),
            **spread_of(visible.peak, "brightness", "lux"),
            **spread_of(visible.speed, "speed", "m_s"),
        }

    def _visible(self, pose, found: Beams) -> Spots:
        spots = spots_of(pose, found)
        shown = spots.peak >= max(self.visible_lux, 1e-12)
        return Spots._make(column[shown] for column in spots)

    def passes_are_steady(self, poses: int) -> bool:
        """Counts passes with all poses and with every second one, and says if both agree."""
        if not self.turn.seconds:
            self.steady = True
            return True
        if self.turn.degrees / poses > WIDEST_STEP:
            return False
        pose = self.turn.at(1.0)
        last = self._visible(pose, beams(pose)[0])
        shares = sorted(self.seen)
        fine = passes(
            [self.seen[s] for s in shares] + [last], self.turn.seconds, self.points[:, :3]
        )
        half = [self.seen[s] for s in shares[::2]] + [last]
        rough = _pass_values(passes(half, self.turn.seconds, self.points[:, :3]))
        self.passes = fine
        whole = _pass_values(fine)
        least = 1.0 / POINTS
        self.errors = {
            name: abs(whole[name] - rough[name]) / max(abs(whole[name]), least) for name in whole
        }
        self.steady = all(
            error <= self.tolerance or error * abs(whole[name]) <= SMALL_SHARE
            for name, error in self.errors.items()
        )
        return self.steady

    def whole_turn(self) -> dict[str, Figure]:
        """Everything that has a value only over a turn; least and most are those of the points."""
        together = np.mean([self.counts[share] for share in sorted(self.counts)], axis=0)
        even = coefficient_of_variation(together)
        figures = {"unevenness_of_turn": Figure(even, even, even, 0.0)}
        if self.passes is None:
            return figures
        for name, value in _pass_values(self.passes).items():
            figures[name] = Figure(value, value, value, self.errors[name])
        rates = self.passes.rates()
        mean = figures["passes_per_s"]
        figures["passes_per_s"] = mean._replace(least=float(rates.min()), most=float(rates.max()))
        return figures

    def bands(self) -> tuple[Floats, Floats]:
        """Heights of the middles of eight bands of the dome, and spots a square metre in each."""
        edges = np.linspace(0.0, 1.0, 9)
        top = self.dome.centre[2] + self.dome.radius
        heights = top - 0.5 * (edges[:-1] + edges[1:]) * self.dome.height
        total = np.zeros(8)
        for spots in self.seen.values():
            above = spots.point[spots.surface == 0, 2]
            share = np.clip((top - above) / self.dome.height, 0.0, 1.0)
            total += np.histogram(share, edges)[0]
        return heights, total / len(self.seen) / (self.dome.area / 8.0)


def _pass_values(found: Passes) -> Values:
    rates = found.rates()
    return {
        "passes_per_s": float(rates.mean()),
        "busiest_passes_per_s": float(np.sort(rates)[-len(rates) // 10 :].mean()),
        "flashing_share": float((found.most_in(1.0) > MOST_FLASHES).mean()),
        "flashing_on_average_share": float((rates > MOST_FLASHES).mean()),
        "swept_share": float(found.swept.mean()),
    }


def _solid_angle(points: Floats, area: float, eye: Floats) -> float:
    """Solid angle of the dome as seen from the eye, sr, from points that share its area evenly."""
    away = eye - points[:, :3]
    square = np.sum(away**2, axis=1)
    facing = np.sum(away * points[:, 3:], axis=1)
    return float(np.mean(facing / square**1.5)) * area
