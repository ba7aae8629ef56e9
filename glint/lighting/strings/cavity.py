"""What shines inside one ball: its LEDs' beams through the openings, and the glow of its walls.

All of it turns with the ball, so it is worked out once, in the ball's own frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.kernels.arrays import Beams, Fates, Floats, Lamps, OccluderLists, Polygons
from glint.kernels.cavity.aperture_glow import ApertureGlow, aperture_glow
from glint.kernels.cavity.led_beams import leave
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.surfaces.equal_area import points
from glint.photometry.integrating_sphere import glow_share, radiance
from glint.photometry.leds import Leds
from glint.room.charts import chart_of
from glint.scene.ball import Ball
from glint.scene.cache import Same
from glint.scene.led_layout import cut_of
from glint.scene.scene import Scene
from glint.shape.openings import HOLE, Openings
from glint.shape.polygons import Polygons as Shapes
from glint.shape.polygons import area_vectors, normals, unit, widen


@dataclass(frozen=True)
class LedCavity:
    """The strings of one ball, and where their light goes; m, in the ball's own frame.

    ball: its number; centre: at rest; swings: whether it leaves it
    strings: those inside it, whose LEDs follow each other in all arrays
    lamps: the LEDs at full brightness; openings: of the body
    polygons: tiles and what is left of the panels, then the openings; occluders: their lists
    reflectance: of the walls; wall_area, open_area: m**2
    """

    ball: int
    centre: Floats
    swings: bool
    strings: tuple[Leds, ...]
    lamps: Lamps
    openings: Openings
    polygons: Polygons
    occluders: OccluderLists
    convex: bool
    reflectance: float
    wall_area: float
    open_area: float
    near: float
    far: float
    bounces: int
    floor: float

    @cached_property
    def _left(self) -> tuple[Beams, Fates, Floats]:
        beams, fates, through = leave(
            self.polygons,
            self.openings.through,
            self.openings.flat,
            self.occluders,
            self.lamps,
            self.convex,
            self.bounces,
            self.floor,
        )
        # Rows of windows are never written beyond their sides, and are turned whole.
        unused = np.arange(beams.window.shape[1]) >= beams.sides[:, None]
        beams.window[unused] = 0.0
        return beams, fates, through

    @property
    def beams(self) -> Beams:
        """Every beam that leaves for the room, of LEDs at full brightness."""
        return self._left[0]

    @property
    def fates(self) -> Fates:
        """What became of the light outside the openings, by LED."""
        return self._left[1]

    @property
    def through(self) -> Floats:
        """Lumens of each LED that come straight to an opening, (n,) float."""
        return self._left[2]

    @cached_property
    def aperture_glow(self) -> ApertureGlow:
        """What openings of luminance 1 send to the room."""
        rims, flat = self.openings.through, self.openings.flat
        return aperture_glow(
            self.polygons, rims, flat, self.occluders, self.near, self.far, self.bounces
        )

    def brightness(self, seconds: float) -> Floats:
        """Share of full brightness of every LED at a moment, (n,) float."""
        return np.concatenate([string.brightness(seconds) for string in self.strings])

    def radiance(self, brightness: Floats) -> Floats:
        """Luminance of the walls and so of every opening, cd/m**2, linear RGB: (3,) float.

        brightness: (n,) float, of the LEDs. The walls are those of an integrating sphere with the
        body's areas (Goebel 1967): where LEDs lie and where openings are makes no difference.
        """
        each = (self.lamps.lumens - self.through) * brightness
        return radiance(1.0, self.reflectance, self.open_area, self.wall_area) * (
            each @ self.lamps.colour
        )

    @property
    def glow_share(self) -> float:
        """Share of the light on the walls that comes back to the openings."""
        return glow_share(self.reflectance, self.open_area / (self.open_area + self.wall_area))

    @cached_property
    def _cones(self) -> tuple[Floats, Floats]:
        """Of each beam the axis (n, 3) of a cone about its light, and its half angle (n,), rad.

        The cone starts at the apex and holds the window, with as much room about it as the LED
        looks from the window's nearest corner.
        """
        beams = self.beams
        ways = beams.window - beams.apex[:, None]
        used = np.arange(ways.shape[1]) < beams.sides[:, None]
        away = np.linalg.norm(ways, axis=2)
        axis = unit((ways * used[..., None]).sum(axis=1))
        cosine = np.einsum("nvk,nk->nv", ways, axis) / np.maximum(away, 1e-300)
        widest = np.arccos(np.clip(np.where(used, cosine, 1.0).min(axis=1), -1.0, 1.0))
        nearest = np.where(used, away, np.inf).min(axis=1)
        return axis, widest + _looks(self.lamps.lens_radius[beams.lamp], nearest)

    def reaching(
        self, point: Floats, turn: Floats, centre: Floats, brightness: Floats
    ) -> tuple[Beams, Lamps]:
        """The beams that may reach a point outside, in the room's frame, and their lamps.

        point: (3,) float, m; the rest as in `placed`. What of a lens a beam's window shows is up
        to `kernels.camera.lens_images`.
        """
        axis, widest = self._cones
        way = (point - centre) @ turn - self.beams.apex
        away = np.linalg.norm(way, axis=1)
        angle = np.arccos(np.clip(np.einsum("nk,nk->n", way, axis) / away, -1.0, 1.0))
        reached = angle <= widest + _looks(self.lamps.lens_radius[self.beams.lamp], away)
        some = Beams._make(column[reached] for column in self.beams)
        return _placed(self, some, turn, centre, brightness)

    def placed(self, turn: Floats, centre: Floats, brightness: Floats) -> tuple[Beams, Lamps]:
        """The beams in the room's frame, and their lamps.

        turn: (3, 3) float, from the ball's frame to the room's; centre: (3,) float, m
        """
        return _placed(self, self.beams, turn, centre, brightness)


def _placed(
    inside: LedCavity, beams: Beams, turn: Floats, centre: Floats, brightness: Floats
) -> tuple[Beams, Lamps]:
    placed = beams._replace(
        ball=np.full(len(beams.ball), inside.ball),
        apex=beams.apex @ turn.T + centre,
        frame=beams.frame @ turn.T,
        window=beams.window @ turn.T + centre,
        share=beams.share * brightness[beams.lamp],
        lumens=beams.lumens * brightness[beams.lamp],
    )
    lamps = inside.lamps
    return placed, lamps._replace(position=lamps.position @ turn.T + centre)


def _looks(radius: Floats, away: Floats) -> Floats:
    """Half the angle that a sphere fills from some way away, rad; all round from inside it."""
    sine = np.minimum(radius / np.maximum(away, 1e-300), 1.0)
    return np.where(sine < 1.0, np.arcsin(sine), math.pi)


def led_cavity(scene: Scene, ball: int) -> LedCavity:
    """What shines inside a ball that has strings; the same object for edited copies of a scene in
    which it did not change."""
    hung = scene.balls[ball]
    strings = tuple(Same(string) for string in scene.strings if string.ball == ball)
    near, far = _distances(scene, hung)
    place = (ball, *hung.centre.tolist(), hung.swing is not None, near, far)
    key = ("cavity", Same(hung.body), hung.tile, strings, scene.optics, place)
    return scene.cache.get(key, lambda: _led_cavity(scene, ball, near, far))


def _led_cavity(scene: Scene, ball: int, near: float, far: float) -> LedCavity:
    hung = scene.balls[ball]
    body = hung.body
    cut = cut_of(hung.tile, body)
    openings = cut.openings
    strings = tuple(string for string in scene.strings if string.ball == ball)
    outer = Shapes(openings.corners, openings.sides)
    parts = [body.tiles, cut.panels, outer]
    width = max(part.corners.shape[1] for part in parts)
    corners = np.concatenate([widen(part, width).corners for part in parts])
    sides = np.concatenate([part.sides for part in parts]).astype(np.int64)
    tiles, solid = len(body.tile_sides), len(body.tile_sides) + len(cut.panels.sides)
    mirror = np.arange(len(sides)) < tiles
    polygons = Polygons(
        corners=np.ascontiguousarray(corners),
        sides=sides,
        normals=np.ascontiguousarray(normals(Shapes(corners, sides))),
        reflectance=np.where(mirror, hung.reflectance, 0.0),
        mirror=mirror,
        ball=np.zeros(len(sides), np.int64),
    )
    occluders = occluder_lists(polygons, solid=solid)
    holed = np.flatnonzero(openings.kind == HOLE)
    occluders = _clear_of_own_tiles(
        occluders, solid + holed, body.tile_panel, openings.number[holed]
    )
    panels = np.linalg.norm(area_vectors(cut.panels), axis=1).sum()
    areas = openings.areas
    return LedCavity(
        ball=ball,
        centre=hung.centre,
        swings=hung.swing is not None,
        strings=strings,
        lamps=_lamps(strings),
        openings=openings,
        polygons=polygons,
        occluders=occluders,
        convex=body.convex,
        reflectance=hung.tile.inner_reflectance,
        wall_area=float(panels - areas[holed].sum()),
        open_area=float(areas.sum()),
        near=near,
        far=far,
        bounces=scene.optics.bounces,
        floor=scene.optics.flux_floor,
    )


def _clear_of_own_tiles(
    occluders: OccluderLists, rows: np.ndarray, tile_panel: np.ndarray, panels: np.ndarray
) -> OccluderLists:
    """Lists of openings in panels without the tiles they go through."""
    keep = np.ones(len(occluders.index), bool)
    for row, panel in zip(rows, panels, strict=True):
        mine = slice(occluders.start[row], occluders.start[row + 1])
        own = np.flatnonzero(tile_panel == panel)
        keep[mine] = ~np.isin(occluders.index[mine], own)
    start = np.concatenate([[0], np.cumsum(keep)])[occluders.start].astype(np.int64)
    return OccluderLists(start, occluders.index[keep])


def _lamps(strings: tuple[Leds, ...]) -> Lamps:
    """LEDs as lamps: the same candela, lumens / 4 pi, in every direction."""
    position = np.concatenate([string.points for string in strings])
    lumens = np.concatenate([string.lumens for string in strings])
    number = len(lumens)
    candela = np.repeat(lumens[:, None, None] / (4.0 * math.pi), 2, axis=2)
    return Lamps(
        position=position,
        frame=np.broadcast_to(np.eye(3), (number, 3, 3)).copy(),
        lens_radius=np.concatenate([np.full(len(s.points), s.radius) for s in strings]),
        colour=np.concatenate([string.colour for string in strings]),
        lumens=lumens,
        candela=candela,
        spread=np.zeros_like(candela),
        planes=np.ones(number, np.int64),
        sine_end=np.full(number, math.sqrt(0.5)),
        sphere=np.ones(number),
    )


def _distances(scene: Scene, ball: Ball) -> tuple[float, float]:
    """Least and most distance of the room from the ball's centre, wherever that swings, m."""
    far, path = ball.body.radius, ball.places()
    for surface in scene.room.surfaces:
        chart = chart_of(surface, 64)
        inside, where = points(chart.kind, chart.size, chart.place, chart.form)
        far = max(far, float(np.linalg.norm(where[inside] - ball.centre, axis=1).max()))
    far += float(np.linalg.norm(path - ball.centre, axis=1).max())
    near = min(float(scene.room.clearance(place)) for place in path)
    return max(near, 1.05 * ball.body.radius), 1.05 * far
