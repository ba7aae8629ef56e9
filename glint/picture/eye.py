"""The eye's view: the room, its balls tile by tile, the lamps in them, and their glare."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from glint.optics.arrays import Beams
from glint.optics.backdrop import draw_backdrop
from glint.optics.bodies import turns
from glint.optics.camera import camera
from glint.optics.chart import points
from glint.optics.flash import draw_flashes, sources_of, straight
from glint.optics.gaze import draw_bodies
from glint.optics.glare import add_glare
from glint.optics.glow import bounced, coarse_means, patches_of, spread_out
from glint.optics.haze import gathered, lay_over
from glint.optics.roomlight import RoomLight
from glint.picture.backdrop import backdrop_of
from glint.picture.spans import spans_of
from glint.picture.things import things
from glint.rig.light import beams
from glint.rig.onlooker import require_eye
from glint.rig.pose import Pose
from glint.rig.scene import Scene
from glint.rig.survey import chart_of
from glint.room.space import Room

AGE, PIGMENT = 30.0, 0.5
"""Whose eye it is that glare is reckoned for: our own choice, common practice for young adults."""

FAINTEST = 1e-4
"""A source of less than this share of all glare is left out of it."""

FORWARD = 0.6
"""Mean cosine of the angle by which haze scatters light: our own choice, droplets of a fog
machine send most of it on."""

PATCHES = 20
"""Patches across a surface, between which light bounces about."""


class Lit(Protocol):
    """A light map: all that is needed of it is lux, (h, w, 3) float32, direct, lx."""

    @property
    def lux(self) -> np.ndarray: ...


class EyeView:
    """What stands still between the frames of one view is worked out here, once.

    scene: with its [eye] table. size: width and height, pixels. texels: width of the light maps
    that `frame` is given. samples: a pixel, on balls and lamps. Raises SceneError for an eye that
    is nowhere to be.
    """

    def __init__(
        self,
        scene: Scene,
        size: tuple[int, int] = (1280, 720),
        texels: int = 1024,
        samples: int = 8,
    ) -> None:
        require_eye(scene)
        self.scene, self.size, self.texels = scene, size, texels
        eye = scene.file.eye
        self.camera = camera(
            np.array(eye.at_m, float), np.array(eye.look_m, float), math.radians(eye.fov_deg), size
        )
        self.room = room_light(scene.room, texels)
        self.bodies, self._balls = things(scene, self.room.kinds, self.room.forms)
        self.backdrop = backdrop_of(scene.room, self.camera, self.room)
        self.spans = spans_of(self.camera, self.bodies, self._balls)
        self.samples = _lattice(samples)
        self._lamps = straight(scene.lamp_arrays)
        self._glow: NDArray[np.float32] | None = None

    def frame(
        self, pose: Pose, maps: Mapping[str, Lit], found: Beams | None = None
    ) -> NDArray[np.float32]:
        """Luminance of every pixel, cd/m**2, linear RGB: (h, w, 3) float32.

        maps: of this pose, `texels` wide. found: its beams, where they have been traced already.
        """
        room = self._lit(maps)
        picture = np.zeros((self.size[1], self.size[0], 3), np.float32)
        draw_backdrop(self.backdrop, room, picture)
        lamps = self.scene.lamp_arrays
        angles = np.zeros(len(self.bodies.root))
        angles[: self._balls] = pose.angles
        turn = turns(angles)
        draw_bodies(self.bodies, turn, lamps, room, self.camera, self.spans, self.samples, picture)
        sources, hazes = [], []
        density = self.scene.file.room.haze_per_m
        for some in (beams(pose)[0] if found is None else found, self._lamps):
            if density > 0.0:
                hazes.append(
                    gathered(
                        some,
                        lamps,
                        some is self._lamps,
                        self.bodies,
                        turn,
                        room.kinds,
                        room.forms,
                        self.camera,
                        density,
                        FORWARD,
                    )
                )
            seen = sources_of(some)
            draw_flashes(some, lamps, self.bodies, turn, self.camera, picture, seen)
            sources.append(seen[seen[:, 6] > 0.0, :6])
        if hazes:
            lay_over(hazes, picture)
        glare = _gathered(np.concatenate(sources), 1.0 / self.camera.focal)
        add_glare(self.camera, glare, AGE, PIGMENT, self.scene.file.eye.glare, picture)
        return picture

    def _lit(self, maps: Mapping[str, Lit]) -> RoomLight:
        """The maps with the light that bounces about added: worked out for the first frame and
        kept, for spots move but their mean hardly changes."""
        surfaces = self.scene.room.surfaces
        if self._glow is None:
            self._glow, self.room = self._bounced([maps[s.name].lux for s in surfaces])
        for start, surface in zip(self.room.start, surfaces, strict=True):
            lux = maps[surface.name].lux.reshape(-1, 3)
            some = slice(start, start + len(lux))
            np.add(lux, self._glow[some], out=self.room.lux[some])
        return self.room

    def _bounced(self, lux: list[np.ndarray]) -> tuple[NDArray[np.float32], RoomLight]:
        room = self.scene.room
        patches = patches_of(tuple(chart_of(surface, PATCHES) for surface in room.surfaces))
        direct = coarse_means(patches, lux)
        paint = np.concatenate(
            [
                np.broadcast_to(surface.mean_reflectance, (int(inside.sum()), 3))
                for surface, inside in zip(room.surfaces, patches.inside, strict=True)
            ]
        )
        # The ambient is there before any lamp: its own bounces are in it already.
        soft = bounced(patches, direct, paint)
        fine = spread_out(patches, soft, [(len(one), one.shape[1]) for one in lux])
        glow = np.concatenate([one.reshape(-1, 3) for one in fine]) + room.ambient
        sent = paint * (direct + soft) * patches.area[:, None]
        ambient = room.ambient + sent.sum(axis=0) / patches.area.sum()
        return glow.astype(np.float32), self.room._replace(ambient=ambient)


def room_light(room: Room, texels: int) -> RoomLight:
    """The room's maps side by side, painted, and still dark."""
    charts = [chart_of(surface, texels) for surface in room.surfaces]
    areas = [int(chart.size[0] * chart.size[1]) for chart in charts]
    paints = []
    for surface, chart in zip(room.surfaces, charts, strict=True):
        _, place = points(chart.kind, chart.size, chart.place, chart.form)
        paint = room.paint(surface, place, math.sqrt(chart.texel_area)) / math.pi
        paints.append(paint.reshape(-1, 3).astype(np.float32))
    return RoomLight(
        np.array([chart.kind for chart in charts], np.int64),
        np.array([chart.form for chart in charts]),
        np.array([chart.place for chart in charts]),
        np.array([chart.size for chart in charts], np.int64),
        np.cumsum([0, *areas[:-1]]).astype(np.int64),
        np.zeros((sum(areas), 3), np.float32),
        np.zeros(3),
        np.concatenate(paints),
    )


def _lattice(number: int) -> np.ndarray:
    """Places in a pixel, evenly spread: (n, 2) float, a rank-one lattice by the golden ratio."""
    steps = np.arange(number)
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    return np.column_stack([(steps + 0.5) / number, (0.5 + steps * golden) % 1.0])


def _gathered(sources: np.ndarray, pixel: float) -> np.ndarray:
    """Sources of glare, those within two pixels of each other as one, the faint ones left out."""
    if not len(sources):
        return sources
    keys = np.round(sources[:, :3] / (2.0 * pixel)).astype(np.int64)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    group = group.ravel()
    strength = sources[:, 3:].max(axis=1)
    number = int(group.max()) + 1
    total = np.stack([np.bincount(group, sources[:, k], number) for k in (3, 4, 5)], axis=1)
    weight = np.bincount(group, strength, number)
    ways = np.stack([np.bincount(group, strength * sources[:, k], number) for k in range(3)], 1)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    kept = weight > FAINTEST * weight.sum()
    return np.column_stack([ways, total])[kept]
