"""The eye's view: the room, its balls tile by tile, the lamps in them, and their glare."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Beams, Flags, Floats, Lamps
from glint.kernels.camera.aperture_sources import aperture_sources, openings_of
from glint.kernels.camera.background import by_blocks, draw_backdrop
from glint.kernels.camera.glare.disability_glare import add_glare, merged
from glint.kernels.camera.haze.single_scattering import gathered, lay_over, reach_of
from glint.kernels.camera.lens_images import draw_lens_images, sources_of, straight
from glint.kernels.camera.mirror_rays import Samples, draw_bodies
from glint.kernels.camera.projection import camera
from glint.kernels.camera.rasterize import fields_of, in_blocks
from glint.kernels.geometry.bvh import at_rest
from glint.kernels.illuminance.radiosity import add_spread_out, spread_out
from glint.kernels.image.tone_mapping import BLOCK
from glint.kernels.surfaces.room_texture import renew
from glint.lighting.illumination import add_straight_light, beams
from glint.lighting.openings import open_texels
from glint.lighting.prepared import lighting_of
from glint.render.eye.apertures import luminance_of, mark_openings
from glint.render.eye.background import backdrop_of
from glint.render.eye.coverage_mask import covered, ways_of
from glint.render.eye.geometry import stances_of, sweep_of, things
from glint.render.eye.room_texture import (
    glow_of,
    lit_by,
    maps_in_a_row,
    painted_room,
    patches_in,
)
from glint.scene.cache import Same
from glint.scene.scene import Pose, Scene
from glint.scene.viewpoint import require_eye

AGE, PIGMENT = 30.0, 0.5
"""The eye that glare is computed for: our own choice, common practice for young adults."""

FORWARD = 0.6
"""Mean cosine of the angle by which haze scatters light: our own choice, droplets of a fog
machine send most of it on."""

NEAR, FAR = 2.0, 12.0
"""Sources within so many pixels are one: close to them, and where only the sum counts."""

PART = 5.0
"""Pixels across the parts that openings are taken in as sources of glare, at most."""

STILL_SAMPLES = 16
"""A pixel, on things that stand still: they are drawn but once."""

FINE_SAMPLES = 16
"""At least so many a pixel where openings may be seen that glow."""


class Lit(Protocol):
    """A light map: all that is needed of it is lux, (h, w, 3) float32, direct, lx."""

    @property
    def lux(self) -> np.ndarray: ...


class Over(NamedTuple):
    """What lies over a whole picture: haze, see `haze.gathered`, and the sources of glare, close to
    them and for what is far, see `glare.add_glare`."""

    hazes: list[Floats]
    sources: Floats
    coarse: Floats


class EyeView:
    """What stands still between the frames of one view is worked out here, once.

    scene: with its [eye] table. size: width and height, pixels. texels: width of the light maps
    that `frame` is given. samples: a pixel, on balls. lux: (t, 3) float32, where the room's light
    is kept, if it is there already. moving: blocks of BLOCK pixels that balls
    may cover, bool. Raises SceneError for an eye that is nowhere to be.
    """

    def __init__(
        self,
        scene: Scene,
        size: tuple[int, int] = (1280, 720),
        texels: int = 1024,
        samples: int = 8,
        lux: NDArray[np.float32] | None = None,
    ) -> None:
        require_eye(scene)
        self.scene, self.size, self.texels = scene, size, texels
        eye, room, cache = scene.eye, scene.room, scene.cache
        self.camera = camera(
            np.array(eye.at_m, float), np.array(eye.look_m, float), math.radians(eye.fov_deg), size
        )
        painted = cache.get(("painted", Same(room), texels), lambda: painted_room(room, texels))
        self._patches = cache.get(("patches", Same(room)), lambda: patches_in(room))
        self.room = lit_by(painted, lux)
        self.bodies, self._balls = things(scene, self.room.kinds, self.room.forms)
        place = (size, eye.at_m, eye.look_m, eye.fov_deg)
        still = cache.get(
            ("backdrop", Same(room), texels, *place),
            lambda: backdrop_of(room, self.camera, painted),
        )
        self.backdrop = still._replace(still=still.still.copy(), things=still.things.copy())
        self._openings = openings_of(self.bodies)
        sweep = sweep_of(scene, self.bodies)
        ways = cache.get(("ways", *place), lambda: ways_of(self.camera))
        moving, still = covered(self.camera, self.bodies, self._balls, sweep, ways)
        self.fields, self._still_fields = fields_of(moving), fields_of(still)
        self.moving = in_blocks(moving, BLOCK)
        nowhere = np.zeros((size[1], size[0]), np.bool_)
        many = _lattice(max(FINE_SAMPLES, samples))
        self.samples = Samples(_lattice(samples), many, nowhere)
        self._lamps = straight(lighting_of(scene).lamp_arrays)
        self._glow: NDArray[np.float32] | None = None

    def frame(
        self, pose: Pose, maps: Mapping[str, Lit], found: Beams | None = None
    ) -> NDArray[np.float32]:
        """Luminance of every pixel, cd/m**2, linear RGB: (h, w, 3) float32.

        maps: of this pose, `texels` wide. found: its beams, where they have been traced already.
        """
        picture = np.zeros((self.size[1], self.size[0], 3), np.float32)
        self.light(maps)
        everything = np.ones_like(self.moving)
        found = beams(pose)[0] if found is None else found
        _, over = self.draw([pose], found, picture, everything)
        self.lay_over(over, picture, picture)
        return picture

    def light(self, maps: Mapping[str, Lit], leaves: Mapping[str, Flags] | None = None) -> None:
        """Take over what falls on the room's surfaces, with the light that bounces about: that is
        worked out for the first frame and kept, for spots move but their mean hardly changes.

        maps: the light that comes straight. leaves: of each map, those that changed since the last
        call, else all.
        """
        surfaces = self.scene.room.surfaces
        first = self._glow is None
        if self._glow is None:
            lux = [maps[surface.name].lux for surface in surfaces]
            soft = self._bounced(lux)
            self._glow = spread_out(self._patches, soft, [one.shape[:2] for one in lux])
        for start, surface in zip(self.room.start, surfaces, strict=True):
            lux = maps[surface.name].lux
            some = slice(start, start + lux.shape[0] * lux.shape[1])
            if leaves is None or first:
                np.add(lux.reshape(-1, 3), self._glow[some], out=self.room.lux[some])
            else:
                renew(lux, self._glow[some], leaves[surface.name], self.room.lux[some])
        if first:
            self._set_things()

    def still(self, pose: Pose) -> NDArray[np.float32]:
        """The same as `frame`, from the pose alone; nothing of it is kept for another frame, and so
        no map is held twice."""
        picture = np.zeros((self.size[1], self.size[0], 3), np.float32)
        found, lux = beams(pose)[0], maps_in_a_row(self.room, self.room.lux)
        self.room.lux[:] = 0.0
        add_straight_light(pose, found, self.texels, lux)
        soft = self._bounced(lux)
        add_spread_out(self._patches, soft, [one.shape[:2] for one in lux], self.room.lux)
        self._set_things()
        _, over = self.draw([pose], found, picture, np.ones_like(self.moving))
        self.lay_over(over, picture, picture)
        return picture

    def _bounced(self, lux: list[np.ndarray]) -> Floats:
        """Light that bounces about, on every patch; the ambient is set by it too."""
        surfaces = self.scene.room.surfaces
        openings = [open_texels(self.scene, surface, self.texels) for surface in surfaces]
        soft, ambient = glow_of(self.scene.room, self._patches, lux, openings)
        self.room = self.room._replace(ambient=ambient)
        return soft

    def draw(
        self, poses: Sequence[Pose], found: Beams, picture: NDArray[np.float32], blocks: Flags
    ) -> tuple[Flags, Over]:
        """Draw what is seen while the shutter is open over some poses, equally long each, but for
        what lies over the whole picture.

        found: all beams of the poses, with their share of the time. picture: (h, w, 3) float32,
        cd/m**2, changed in place. blocks: of BLOCK pixels, those to draw anew: at least those that
        show leaves of the maps that `light` has changed since the last call, and all that this
        returned then, which is where something was drawn before the room.
        """
        room, lamps = self.room, lighting_of(self.scene).lamp_arrays
        stands = np.array([stances_of(self.bodies, pose) for pose in poses])
        draw_backdrop(self.backdrop, room, blocks, picture)
        nobody = np.zeros((0, 0), np.float32)
        bodies = self.bodies._replace(luminance=luminance_of(poses, len(self.bodies.radius)))
        self.samples.fine[:] = False
        mark_openings(self.camera, poses, self.samples.fine)
        draw_bodies(
            bodies, stands, lamps, room, self.camera, self.fields, self.samples, picture, nobody
        )
        laid = self.moving.copy()
        turn = stands[len(poses) // 2]
        density = self.scene.haze
        sources, hazes = [], []
        if density > 0.0:
            reach = reach_of(self.bodies, turn, room.kinds, room.forms, self.camera)
            way = (self.bodies, turn, reach, self.camera, density, FORWARD)
            hazes = [gathered(found, lamps, False, *way), gathered(self._lamps, lamps, True, *way)]
        for some in (found, self._lamps):
            sources.append(self._flashes(some, lamps, turn, picture, laid))
        for pose in poses:
            for inside in lighting_of(self.scene).cavities:
                share = inside.brightness(pose.seconds) / len(poses)
                where = (pose.rotations[inside.ball], pose.centres[inside.ball])
                some, leds = inside.reaching(self.camera.at, *where, share)
                sources.append(self._flashes(some, leds, turn, picture, laid))
        pixel = 1.0 / self.camera.focal
        parts = aperture_sources(bodies, turn, self.camera.at, self._openings, PART * pixel)
        sources.append(np.insert(parts, 6, 0.5 * PART * pixel, axis=1))
        every = np.concatenate(sources)
        return laid, Over(hazes, merged(every, NEAR * pixel), merged(every, FAR * pixel))

    def lay_over(
        self, over: Over, picture: NDArray[np.float32], whole: NDArray[np.float32]
    ) -> bool:
        """Lay haze and glare over a picture that has been drawn.

        whole: as picture, written if there is anything to lay over it, which is returned; it may be
        the picture itself.
        """
        strength = self.scene.eye.glare
        glares = len(over.sources) > 0 and strength > 0.0
        if over.hazes:
            lay_over(over.hazes, picture, whole)
            picture = whole
        if glares:
            near, far = over.sources, over.coarse
            add_glare(self.camera, near, AGE, PIGMENT, strength, picture, far, whole)
        return glares or bool(over.hazes)

    def _flashes(
        self,
        some: Beams,
        lamps: Lamps,
        turn: Floats,
        picture: NDArray[np.float32],
        laid: Flags,
    ) -> Floats:
        """Draw the lenses that the eye sees by some beams: (n, 7) float, sources of glare."""
        seen = sources_of(some)
        draw_lens_images(some, lamps, self.bodies, turn, self.camera, picture, laid, seen)
        seen = seen[seen[:, 6] > 0.0]
        seen[:, 6] = 0.0  # so small that they are points
        return seen

    def _set_things(self) -> None:
        """Make what stands still part of the backdrop, lit as in the first frame."""
        still = self.backdrop.still
        kept = np.ones(still.shape[:2], np.float32)
        lattice = _lattice(STILL_SAMPLES)
        draw_bodies(
            self.bodies,
            at_rest(self.bodies)[None],
            lighting_of(self.scene).lamp_arrays,
            self.room,
            self.camera,
            self._still_fields,
            Samples(lattice, lattice, np.zeros(still.shape[:2], np.bool_)),
            still,
            kept,
        )
        self.backdrop.things[:] = in_blocks(kept < 1.0, BLOCK)
        taps = np.diff(self.backdrop.start)
        left = np.ones(len(taps), np.float32)
        left[by_blocks(*still.shape[:2])] = kept
        # Never in place: other views of the same room from the same eye have the same weights.
        weight = self.backdrop.weight * np.repeat(left, taps)[:, None]
        self.backdrop = self.backdrop._replace(weight=weight)


def _lattice(number: int) -> np.ndarray:
    """Places in a pixel, evenly spread: (n, 2) float, a rank-one lattice by the golden ratio,
    every other one first, so that the first half are evenly spread as well."""
    steps = np.concatenate([np.arange(0, number, 2), np.arange(1, number, 2)])
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    return np.column_stack([(steps + 0.5) / number, (0.5 + steps * golden) % 1.0])
