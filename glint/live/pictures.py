"""Pictures that the server draws: exact ones at rest, and frames where a page cannot draw."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from glint.errors import require_choice, require_number
from glint.kernels.surfaces.equal_area import points
from glint.lighting.illumination import LightMap, light
from glint.live.wire import Kind, Packet
from glint.render.canvas import centred, side_of_map
from glint.render.eye.frames import EyeFilm
from glint.render.still import together
from glint.render.tone.eye_exposure import develop, eye_exposure
from glint.render.tone.mapping import to_picture
from glint.room.charts import chart_of
from glint.room.room import Room
from glint.scene.cache import Same
from glint.scene.scene import Pose, Scene

SMALLEST, LARGEST = 64, 2048
"""Pixels along the side of a picture."""

QUALITY, ROUGH_QUALITY = 92, 80
"""Of JPEG: of exact pictures, whose colours are kept at full resolution, and of frames."""


@dataclass(frozen=True)
class Sight:
    """What a page looks at. eye: keys of the scene's [eye] table in place of its own."""

    view: str
    size: tuple[int, int]
    eye: tuple[tuple[str, Any], ...] = ()

    @classmethod
    def of(cls, message: Mapping[str, Any], view: object) -> Sight:
        """As a message says. Raises UsageError."""
        name = require_choice("view", view, ("dome", "eye"))
        sides = [message.get(side, 720) for side in ("width", "height")]
        for side, value in zip(("width", "height"), sides, strict=True):
            require_number(side, value, SMALLEST, LARGEST, whole=True)
        eye = {key: message[key] for key in ("at_m", "look_m", "fov_deg") if key in message}
        rows = ((key, tuple(v) if isinstance(v, list) else v) for key, v in eye.items())
        return cls(name, (sides[0], sides[1]), tuple(rows))

    def scene(self, scene: Scene) -> Scene:
        """The scene with this eye. Raises GlintError."""
        if self.view == "dome" or not self.eye:
            return scene
        return scene.with_({f"eye.{key}": value for key, value in self.eye})


def exact(scene: Scene, sight: Sight, seconds: float, exposure: float) -> Packet:
    """The exact picture of a moment. exposure: of the dome; an eye finds its own."""
    pose = sight.scene(scene).at(seconds=seconds)
    if sight.view == "dome":
        picture = _dome(pose, sight.size, exposure)
    else:
        # Kernels of the eye's view take a page that only shows the dome a while to pass by.
        from glint.render.still import eye_luminance

        seen = eye_luminance(pose, sight.size, max(512, min(2 * max(sight.size), 1024)))
        exposure = eye_exposure(seen)
        picture = develop(seen, exposure)
    return _packet(picture, sight, seconds, exposure, exact=True)


class Frames:
    """Frames of one scene and sight, one after the other."""

    def __init__(self, scene: Scene, sight: Sight, exposure: float) -> None:
        self.scene, self.sight, self.exposure = sight.scene(scene), sight, exposure
        self._film: EyeFilm | None = None
        self._picture: NDArray[np.uint8] | None = None

    def frame(self, seconds: float) -> Packet:
        """The frame of a moment."""
        pose = self.scene.at(seconds=seconds)
        if self.sight.view == "dome":
            picture = _dome(pose, self.sight.size, self.exposure)
        else:
            picture = self._eye(pose)
        return _packet(picture, self.sight, seconds, self.exposure, exact=False)

    def _eye(self, pose: Pose) -> NDArray[np.uint8]:
        if self._film is None:
            self._film = EyeFilm(self.scene, self.sight.size)
            self.exposure = eye_exposure(self._film.luminance([pose]))
        seen = self._film.luminance([pose])
        fresh = self._picture is None
        changed = np.ones_like(self._film.changed) if fresh else self._film.changed
        self._picture = develop(seen, self.exposure, self._picture, changed)
        return self._picture


def _dome(pose: Pose, size: tuple[int, int], exposure: float) -> NDArray[np.uint8]:
    room = pose.scene.room
    names = room.overhead.names
    maps = light(pose, side_of_map(*size), names)
    every = [maps[name] for name in names]
    seen = together([_luminance(pose.scene, one) for one in every], [one.chart for one in every])
    return centred(to_picture(seen, exposure), *size)


def _luminance(scene: Scene, found: LightMap) -> NDArray[np.float32]:
    """As `glint.render.still.luminance`, with the paint kept from picture to picture."""
    texels = found.chart.size[1]
    paint = scene.cache.get(
        ("live paint", Same(scene.room), found.surface.name, int(texels)),
        lambda: _paint(scene.room, found),
    )
    seen = found.lux + found.ambient.astype(np.float32)
    seen *= paint
    return seen


def _paint(room: Room, found: LightMap) -> NDArray[np.float32]:
    """Luminance over illuminance at every texel; 0 off the surface: (h, w, 3) float32."""
    if room.is_plain(found.surface):
        paint = np.broadcast_to(found.surface.reflectance, (*found.inside.shape, 3))
    else:
        paint = room.paint(found.surface, found.point, float(np.sqrt(found.chart.texel_area)))
    return (paint * found.inside[..., None] / np.pi).astype(np.float32)


def paint_packet(scene: Scene, texels: int) -> Packet | None:
    """Reflectance of the surfaces that are not of one colour, as a page paints them; None where
    all are."""
    room = scene.room
    arrays = {}
    for surface in room.surfaces:
        if room.is_plain(surface):
            continue
        chart = chart_of(surface, texels)
        place = points(chart.kind, chart.size, chart.place, chart.form)[1]
        paint = np.clip(room.paint(surface, place, float(np.sqrt(chart.texel_area))), 0.0, 1.0)
        coded = np.where(paint <= 0.0031308, 12.92 * paint, 1.055 * paint ** (1 / 2.4) - 0.055)
        arrays[f"paint {surface.name}"] = np.round(255.0 * coded).astype(np.uint8)
    facts = {"surfaces": [surface.name for surface in room.surfaces if not room.is_plain(surface)]}
    return Packet(Kind.PAINT, 0, facts, arrays) if arrays else None


def _packet(
    picture: NDArray[np.uint8], sight: Sight, seconds: float, exposure: float, exact: bool
) -> Packet:
    file = io.BytesIO()
    quality = QUALITY if exact else ROUGH_QUALITY
    Image.fromarray(picture).save(
        file, "JPEG", quality=quality, subsampling="4:4:4" if exact else "4:2:0"
    )
    facts = {
        "view": sight.view,
        "seconds": seconds,
        "exact": exact,
        "exposure": float(exposure),
        "media": "image/jpeg",
        "width": sight.size[0],
        "height": sight.size[1],
        "eye": dict(sight.eye),
    }
    return Packet(Kind.PICTURE, 0, facts, {"image": np.frombuffer(file.getvalue(), np.uint8)})
