"""Figures beside the page: quick ones of the moment, and means over a turn when nobody waits."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from glint.analysis.averaging import percentile
from glint.analysis.dark_gap import largest_gap
from glint.analysis.flicker import MOST_FLASHES, passes
from glint.analysis.period import turn_of
from glint.analysis.uniformity import lattice
from glint.build.hours import hours
from glint.build.inventory import kinds
from glint.kernels.arrays import Beams
from glint.kernels.illuminance.probe import lux_at
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.lighting.spots import Spots, spots_of
from glint.lighting.strings.balance import audit_strings
from glint.lighting.visibility import bare_overhead, least_lux, visible
from glint.photometry.colour import LUMINANCE
from glint.scene.cache import Same
from glint.scene.scene import Pose, Scene
from glint.shape.joints import joints
from glint.shape.weight import weigh

Figures = dict[str, float | None]

POINTS = 4000
"""Points overhead at which cover is judged and passes are counted."""

WIDEST_STEP = 4.0
"""Degrees that a ball may turn from pose to pose where passes are counted."""

FEWEST, MOST = 32, 360
"""Poses of a turn."""

STRING_TEXELS = 128


class Looker:
    """A scene and the light that is always there, ready to be looked at in any pose."""

    def __init__(self, scene: Scene, ambient: np.ndarray) -> None:
        """ambient: (3,) float, lx, linear RGB."""
        self.scene, self.roof = scene, scene.room.overhead
        self.ambient = float(ambient @ LUMINANCE)
        self.least = least_lux(scene, self.ambient)
        key = ("live points", Same(scene.room))
        self.points, self.bare = scene.cache.get(key, self._points)
        self.sky = self.roof.sky()

    def _points(self) -> tuple[np.ndarray, np.ndarray]:
        points = lattice(self.roof, POINTS)
        return points, bare_overhead(self.scene, points[:, :3])

    def visible(self, pose: Pose, found: Beams) -> Spots:
        """The visible spots of a pose."""
        return visible(self.scene, spots_of(pose, found), self.ambient)

    def figures(self, found: Beams, spots: Spots) -> Figures:
        """Figures of an instant, as `glint.analysis.figures` defines them but for `passes_per_s`:
        what spots sweep in a second, over the area."""
        above = spots.surface < self.scene.room.above
        away = spots.point[above]
        away = away / np.linalg.norm(away, axis=1, keepdims=True)
        lit = lux_at(found, lighting_of(self.scene).lamp_arrays, self.points)
        swept = (spots.diameter * spots.speed)[above].sum()
        return {
            "spots": float(len(spots.area)),
            "brightness_lux": _known(percentile(spots.peak, 50.0)),
            "gap_deg": _known(math.degrees(largest_gap(away, self.sky)[0])),
            "cover_share": float(((lit >= self.least) & ~self.bare).mean()),
            "speed_m_s": _known(percentile(spots.speed, 50.0)),
            "passes_per_s": float(swept / self.roof.area),
        }


class Turning:
    """Means over a turn, pose after pose, so that whoever waits is served in between."""

    def __init__(self, looker: Looker) -> None:
        self.looker, self.turn = looker, turn_of(looker.scene)
        poses = math.ceil(self.turn.degrees / WIDEST_STEP)
        self.count = min(max(poses, FEWEST), MOST)
        self._rows: list[Figures] = []
        self._seen: list[Spots] = []

    @property
    def progress(self) -> float:
        """Share of the work that is done, 0 to 1."""
        return len(self._seen) / (self.count + 1)

    def step(self) -> bool:
        """Look at one more pose; whether there are more."""
        number = len(self._seen)
        pose = self.turn.at(number / self.count)
        found = beams(pose)[0]
        spots = self.looker.visible(pose, found)
        self._seen.append(spots)
        if number < self.count:
            self._rows.append(self.looker.figures(found, spots))
        return len(self._seen) <= self.count

    def means(self) -> dict[str, list[float] | None]:
        """Mean, least and most of each figure; None where it is not defined in any pose."""
        found = {key: _mean([row[key] for row in self._rows]) for key in self._rows[0]}
        if self.turn.seconds:
            over = passes(self._seen, self.turn.seconds, self.looker.points[:, :3])
            rates = over.rates()
            share = float((over.most_in(1.0) > MOST_FLASHES).mean())
            found["passes_per_s"] = [float(v) for v in (rates.mean(), rates.min(), rates.max())]
            found["flashing_share"] = [share, share, share]
            swept = float(over.swept.mean())
            found["swept_share"] = [swept, swept, swept]
        return found


def of_the_body(scene: Scene) -> Figures:
    """What the balls take to build: tiles, weight, hours of gluing."""
    rows = [
        scene.cache.get(
            ("live build", Same(ball.body), ball.tile.thickness_mm, scene.workshop),
            lambda ball=ball: _built(ball, scene),
        )
        for ball in scene.balls
    ]
    tiles, grams, gluing = (sum(column) for column in zip(*rows, strict=True))
    return {"tiles": float(tiles), "grams": grams, "gluing_h": gluing}


def _built(ball: Any, scene: Scene) -> tuple[int, float, float]:
    body, workshop = ball.body, scene.workshop
    tile = ball.tile
    mass = weigh(body, tile.thickness_mm / 1e3, workshop, tile.recess_mm / 1e3)
    tiles = len(body.tile_sides)
    seams = 0 if body.base == "rings" else len(joints(body.frame).panels)
    return tiles, 1000.0 * mass.total, hours(tiles, seams, 0, workshop).gluing


def tile_kinds(scene: Scene) -> list[dict[str, Any]]:
    """The tiles of all balls by kind, to be held against a stock."""
    found: dict[tuple[str, tuple[float, ...]], int] = {}
    for ball in scene.balls:
        key = ("live tiles", Same(ball.body))
        for kind in scene.cache.get(key, lambda ball=ball: kinds(ball.body.tiles, 0.0)):
            name = (kind.name, tuple(round(1000.0 * side, 2) for side in kind.sides))
            found[name] = found.get(name, 0) + kind.needed
    return [
        {"name": name, "sides_mm": list(sides), "needed": count}
        for (name, sides), count in found.items()
    ]


def string_lumens(pose: Pose) -> float | None:
    """Lumens that strings send out of their balls; None without a string."""
    audits = audit_strings(pose, STRING_TEXELS)
    return float(sum(audit.out for audit in audits)) if audits else None


def _known(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _mean(values: list[float | None]) -> list[float] | None:
    known = [value for value in values if value is not None]
    return [float(np.mean(known)), min(known), max(known)] if known else None
