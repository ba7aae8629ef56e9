"""What is seen from pose to pose: the values of one instant, and what they add up to."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

import glint.analysis.figures  # noqa: F401  registers what `values` goes through
from glint.analysis.averaging import Figure, Values
from glint.analysis.definitions import values
from glint.analysis.flicker import Passes, passes
from glint.analysis.instant import Instant, Setting
from glint.analysis.period import Turn
from glint.analysis.uniformity import Cells, lattice
from glint.kernels.arrays import Beams, Floats
from glint.lighting.illumination import beams
from glint.lighting.spots import Spots, spots_of
from glint.lighting.visibility import bare_overhead, least_lux, visible
from glint.scene.scene import Pose, Scene
from glint.shape.weight import weigh

CELLS = 200
"""Cells overhead that evenness is judged by."""

POINTS = 20000
"""Points overhead that cover is judged by, and at which passes are counted."""

WIDEST_STEP = 4.0
"""Degrees that a ball may turn from pose to pose where passes are counted."""

SMALL_SHARE = 2e-3
"""Of shares and passes per second: an error that does not matter."""

MAP = 64
"""Squares across the map of spots."""

BANDS = 8
"""Bands from the zenith down that density is told of."""

LIKELY = 128
"""Poses that most scenes take."""

Tell = Callable[[int, int], None]
See = Callable[[float, Pose, Beams], None]


class View:
    """What is kept between the poses of one scene."""

    def __init__(self, turn: Turn, ambient: float, tolerance: float, tell: Tell, see: See) -> None:
        scene = turn.scene
        self.turn, self.ambient, self.tolerance = turn, ambient, tolerance
        self.roof = scene.room.overhead
        self.tell, self.see = tell, see
        self.points = lattice(self.roof, POINTS)
        self.setting = Setting(
            roof=self.roof,
            cells=Cells(self.roof, CELLS),
            points=self.points,
            bare=bare_overhead(scene, self.points[:, :3]),
            sky=self.roof.sky(),
            solid_angle=_solid_angle(self.points, self.roof.area, np.array(scene.eye.at_m)),
            least_lux=least_lux(scene, ambient),
            tiles=sum(len(ball.body.tile_sides) for ball in scene.balls),
            grams=_grams(scene),
            lumens=sum(lamp.lumens for lamp in scene.lamps),
        )
        self.seen: dict[float, Spots] = {}
        self.counts: dict[float, Floats] = {}
        self.passes: Passes | None = None
        self.errors: dict[str, float] = {}
        self.steady = False

    def values(self, share: float) -> Values:
        """Everything that has a value at one instant."""
        pose = self.turn.at(share)
        found, _ = beams(pose)
        spots = spots_of(pose, found)
        now = Instant(self.setting, pose, found, spots, self.visible(spots))
        self.seen[share] = now.visible
        self.see(share, pose, found)
        self.counts[share] = now.counts.astype(float)
        done = len(self.seen)
        self.tell(done, max(LIKELY, 2 ** (done - 1).bit_length()))
        return values("instant", now, [surface.name for surface in pose.scene.room.surfaces])

    def visible(self, spots: Spots) -> Spots:
        """Those of them that are visible."""
        return visible(self.turn.scene, spots, self.ambient)

    def passes_are_steady(self, poses: int) -> bool:
        """Counts passes with all poses and with every second one, and says if both agree."""
        if not self.turn.seconds:
            self.steady = True
            return True
        if self.turn.degrees / poses > WIDEST_STEP:
            return False
        pose = self.turn.at(1.0)
        last = self.visible(spots_of(pose, beams(pose)[0]))
        shares = sorted(self.seen)
        fine = passes(
            [self.seen[s] for s in shares] + [last], self.turn.seconds, self.points[:, :3]
        )
        half = [self.seen[s] for s in shares[::2]] + [last]
        rough = values("passes", passes(half, self.turn.seconds, self.points[:, :3]))
        self.passes = fine
        whole = values("passes", fine)
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
        figures = {
            name: Figure(value, value, value, 0.0)
            for name, value in values("turn", together).items()
        }
        if self.passes is None:
            return figures
        for name, value in values("passes", self.passes).items():
            figures[name] = Figure(value, value, value, self.errors[name])
        rates = self.passes.rates()
        mean = figures["passes_per_s"]
        figures["passes_per_s"] = mean._replace(least=float(rates.min()), most=float(rates.max()))
        return figures

    def bands(self) -> tuple[Floats, Floats]:
        """Angles from the zenith, degrees, of bands of one area each as seen from the middle of the
        floor, and spots a square metre in each."""
        angles = _from_zenith(self.points[:, :3])
        edges = np.quantile(angles, np.linspace(0.0, 1.0, BANDS + 1))
        edges[0], edges[-1] = 0.0, 0.5 * math.pi
        middles = np.quantile(angles, (np.arange(BANDS) + 0.5) / BANDS)
        counts = np.histogram(_from_zenith(self._above()), edges)[0]
        density = counts / len(self.seen) / (self.roof.area / BANDS)
        return np.degrees(middles), density

    def map(self) -> Floats:
        """Visible spots a square metre, on squares of the chart of what is overhead, as seen from
        below: the squares of a chart have one area."""
        rows, columns = self.roof.outer.size(MAP)
        left, across, top, up = self.roof.outer.place(MAP)
        place = self.roof.on_chart(self.roof.to_square(self._above()))
        column = np.clip(np.round((place[:, 0] - left) / across), 0, columns - 1)
        row = np.clip(np.round((place[:, 1] - top) / up), 0, rows - 1)
        number = (row * columns + column).astype(np.int64)
        counts = np.bincount(number, minlength=rows * columns).reshape(rows, columns)
        return counts / len(self.seen) / abs(across * up)

    def _above(self) -> Floats:
        """Middles of all visible spots overhead, of all poses: (n, 3) float."""
        return np.concatenate(
            [s.point[s.surface < len(self.roof.parts)] for s in self.seen.values()]
        )


def _from_zenith(points: Floats) -> Floats:
    """Angles of points (n, 3) from the zenith as seen from the middle of the floor, rad."""
    return np.arctan2(np.hypot(points[:, 0], points[:, 1]), points[:, 2])


def _solid_angle(points: Floats, area: float, eye: Floats) -> float:
    """Solid angle of a surface as seen from the eye, sr, from points that share its area evenly."""
    away = eye - points[:, :3]
    square = np.sum(away**2, axis=1)
    occluders = np.sum(away * points[:, 3:], axis=1)
    return float(np.mean(occluders / square**1.5)) * area


def _grams(scene: Scene) -> float:
    """Of all balls, with tiles, panels and glue, as the workshop makes them."""
    return sum(
        1000.0
        * weigh(
            ball.body, ball.tile.thickness_mm / 1e3, scene.workshop, ball.tile.recess_mm / 1e3
        ).total
        for ball in scene.balls
    )
