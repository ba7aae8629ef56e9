"""The assembled scene: what hangs, shines and stands, and where all of it is at one instant."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from html import escape
from os import PathLike
from pathlib import Path
from typing import Any

import numpy as np

from glint.errors import SceneError, UsageError, in_words, printable
from glint.files.table import Table
from glint.kernels.arrays import Floats, Polygons
from glint.kernels.geometry.rigid_transform import stand
from glint.photometry.leds import Leds
from glint.photometry.luminaire import Lamp
from glint.photometry.tables import LampTable, StringTable
from glint.room.room import Room
from glint.room.table import RoomTable
from glint.scene.assemble import assemble
from glint.scene.ball import Ball
from glint.scene.cache import Same, SharedCache
from glint.scene.display import html_table, image, png_of
from glint.schema.edit import edited, plain
from glint.schema.read import scene_of
from glint.schema.tables import (
    BallTable,
    EyeTable,
    OpticsTable,
    SceneFile,
)
from glint.schema.written import tables_of
from glint.shape.openings import HOLE_CORNERS, plugs
from glint.shape.tables import WorkshopTable


class Scene:
    """An evening: everything that does not move, and how the rest does. It stands alone: nothing
    is read from its file any more.

    room, balls, lamps, strings: built, hung and aimed
    title: of the evening; name: of the file, or "scene"; shown: its path, as errors tell it
    eye: where somebody stands and looks; optics: how far light is followed; workshop: what build
    sheets count with; visible_contrast: of a spot that is seen; haze: 1/m
    source: the checked tables, for what writes or changes a scene as a file
    cache: what was worked out for this scene and those it was edited from
    """

    room: Room
    balls: tuple[Ball, ...]
    lamps: tuple[Lamp, ...]
    strings: tuple[Leds, ...]
    title: str
    name: str
    shown: str
    eye: EyeTable
    optics: OpticsTable
    workshop: WorkshopTable
    visible_contrast: float
    haze: float
    source: SceneFile
    cache: SharedCache

    def __init__(
        self,
        *,
        room: RoomTable | Mapping[str, Any],
        balls: Iterable[BallTable | Mapping[str, Any]],
        lamps: Iterable[LampTable | Mapping[str, Any]] = (),
        strings: Iterable[StringTable | Mapping[str, Any]] = (),
        eye: EyeTable | Mapping[str, Any] | None = None,
        title: str | None = None,
        folder: str | PathLike[str] = ".",
        **more: Any,
    ) -> None:
        """Check and build an evening from its tables.

        room: `Dome`, `Bell`, `Hall`, ...; balls: at least one; lamps: without them and without
        strings there is one, of the plain kind; eye, title: as in a file. folder: where lamp files
        and meshes that are named are looked up. more: the other tables of a file by their keys, as
        tile=Tile(...), optics=..., workshop=..., visible_contrast=...

        A table may be a dict with the same keys. Raises SceneError with every problem found.
        """
        if not isinstance(folder, str | PathLike):
            raise UsageError(f"folder: found {in_words(folder)}; allowed: the path of a folder")
        tables = {"room": room, **more, "ball": balls, "lamp": lamps, "string": strings}
        tables |= {"eye": eye, "title": title}
        written = {key: _rows(value) for key, value in tables.items() if value is not None}
        for key in ("lamp", "string"):
            if written[key] == []:
                del written[key]
        self._build(scene_of(written, Path(folder) / "scene"), SharedCache())

    @classmethod
    def of(cls, file: SceneFile, cache: SharedCache | None = None) -> Scene:
        """Build a checked scene file. cache: of a scene that this one is an edited copy of. Raises
        SceneError."""
        scene = cls.__new__(cls)
        scene._build(file, SharedCache() if cache is None else cache)
        return scene

    def _build(self, file: SceneFile, cache: SharedCache) -> None:
        try:
            self.room, self.balls, self.lamps, self.strings = assemble(file, cache)
        except SceneError as error:
            raise file.told(error) from None
        self.title, self.name, self.shown = file.title, file.path.name, str(file.path)
        self.eye, self.optics, self.workshop = file.eye, file.optics, file.workshop
        self.visible_contrast, self.haze = file.visible_contrast, file.room.haze_per_m
        self.source, self.cache = file, cache

    @cached_property
    def memory(self) -> dict[str, Any]:
        """What later stages hold for this scene alone; what edited copies may share is in cache."""
        return {}

    def __repr__(self) -> str:
        counts = (("ball", self.balls), ("lamp", self.lamps), ("string", self.strings))
        parts = [f"{len(some)} {name}{'s' * (len(some) != 1)}" for name, some in counts if some]
        title = printable(self.title, 60)
        return f'<glint.Scene "{title}": {", ".join(parts)} under a {self.room.surfaces[0].name}>'

    def _repr_png_(self) -> bytes | None:
        return self.at(degrees=0.0)._repr_png_()

    def _repr_html_(self) -> str:
        balls = [
            (b.name, b.body.name, len(b.body.tile_sides), f"{b.centre[2]:.2f}", f"{b.motion.rpm:g}")
            for b in self.balls
        ]
        lamps = [
            (one.name, ", ".join(f"{v:g}" for v in one.position), f"{one.lumens:.0f}")
            for one in self.lamps
        ]
        parts = [f"<h4>{escape(self.title)}</h4>"]
        parts.append(html_table(("ball", "shape", "tiles", "hangs at m", "turns a minute"), balls))
        if lamps:
            parts.append(html_table(("lamp", "stands at m", "lm"), lamps))
        if self.strings:
            rows = [(s.name, self.balls[s.ball].name, len(s.points)) for s in self.strings]
            parts.append(html_table(("string", "in", "LEDs"), rows))
        return "".join(parts)

    def with_(self, changes: Mapping[str, Any]) -> Scene:
        """An edited copy, checked like a file; this scene stays as it is.

        changes: from paths to new values, as {"lamp[0].at_m": (3, 0, 2), "room.wall_m": 1.0,
        "ball[quince].hang": glint.Hang(height_m=2.2)}. A path is the keys of a file joined by dots;
        rows stand in brackets, by their place from 0 or by their name. None takes a key or a row
        away, and its default holds again; the place behind the last row adds one. What does not
        depend on the changes is not built again. Raises GlintError.
        """
        tables = edited(tables_of(self.source), changes)
        file = scene_of(tables, self.source.path, self.source.text)
        return Scene.of(file, self.cache)

    def to_toml(self) -> str:
        """The scene as the text of a file. Read again from the same folder it gives the same light.

        Comments and order of the file that it came from are kept; without one defaults are left
        out.
        """
        from glint.schema.write import as_text

        return as_text(tables_of(self.source), self.source.text)

    def at(self, *, degrees: float | None = None, seconds: float | None = None) -> Pose:
        """The pose when the first ball has turned by some degrees, or after some seconds.

        Swings and twists are as at the moment when it has; at second 0 where it does not turn
        steadily.
        """
        given = {"degrees": degrees, "seconds": seconds}
        for name, value in given.items():
            if value is not None and not _is_number(value):
                raise UsageError(f"at: found {name} = {in_words(value)}; allowed: a finite number")
        if (degrees is None) == (seconds is None):
            found = "neither" if degrees is None else "both"
            raise UsageError(f"at: found {found}; allowed: either degrees or seconds")
        balls = self.balls
        if seconds is None:
            turned = math.radians(degrees or 0.0)
            first = balls[0].turning
            ratios = [ball.turning / first if first else 1.0 for ball in balls]
            angles = [ball.phase + turned * r for ball, r in zip(balls, ratios, strict=True)]
            seconds = turned / first if first else 0.0
        else:
            angles = [ball.phase + ball.turning * seconds for ball in balls]
        twists = [ball.twisted(seconds) for ball in balls]
        return Pose(self, tuple(a + t for a, t in zip(angles, twists, strict=True)), seconds)

    def poses(self, times: Iterable[Fraction]) -> list[Pose]:
        """The poses at some moments, s."""
        return [self.at(seconds=float(time)) for time in times]

    @cached_property
    def still_polygons(self) -> Polygons:
        """All panels and tiles with every ball at angle 0; each ball's tiles, then its panels, then
        what stands for the holes drilled in its tiles: light that falls on them is lost."""
        key = tuple((Same(ball.body), ball.reflectance, ball.hole) for ball in self.balls)
        return self.cache.get(("still polygons", key), self._still_polygons)

    def _still_polygons(self) -> Polygons:
        parts = [_polygons_of(ball, number) for number, ball in enumerate(self.balls)]
        widest = max(part.corners.shape[1] for part in parts)
        corners = [
            np.pad(p.corners, ((0, 0), (0, widest - p.corners.shape[1]), (0, 0)), mode="edge")
            for p in parts
        ]
        rest = [np.concatenate(column) for column in zip(*(p[1:] for p in parts), strict=True)]
        return Polygons(np.concatenate(corners), *rest)

    @cached_property
    def fastest_spots(self) -> list[float]:
        """How fast spots of each ball move at most where light falls straight onto a surface, m/s.

        A mirror turned by a turns its beam by 2 a: a spot moves at 2 omega times its distance at
        most. Where light falls aslant a spot is that much faster, and as much longer and softer.
        That a swing carries the ball along as well is left out.
        """
        reaches = [max(self.room.furthest(b.centre), b.body.radius) for b in self.balls]
        return [2.0 * b.fastest * r for b, r in zip(self.balls, reaches, strict=True)]

    @property
    def fastest_spot(self) -> float:
        """The fastest of them, m/s."""
        return max(self.fastest_spots)


@dataclass(frozen=True, eq=False)
class Pose:
    """A scene with every ball turned about its cord by its angle, and every cord leaning; rad.

    seconds: the moment
    """

    scene: Scene
    angles: tuple[float, ...]
    seconds: float = 0.0

    def __repr__(self) -> str:
        turned = ", ".join(f"{math.degrees(angle):.4g}" for angle in self.angles[:4])
        more = ", ..." if len(self.angles) > 4 else ""
        title = printable(self.scene.title, 60)
        return f'<glint.Pose of "{title}" at {self.seconds:.6g} s: turned {turned}{more} deg>'

    @cached_property
    def _png(self) -> bytes | None:
        return png_of(self)

    def _repr_png_(self) -> bytes | None:
        return self._png

    def _repr_html_(self) -> str:
        return image(self._png, repr(self).strip("<>"))

    @cached_property
    def leans(self) -> tuple[float, ...]:
        """How far each cord leans, rad."""
        return tuple(ball.lean(self.seconds) for ball in self.scene.balls)

    @cached_property
    def _stances(self) -> tuple[Floats, Floats]:
        rows = zip(self.scene.balls, self.angles, self.leans, strict=True)
        rotations, centres = zip(*(b.stance(angle, lean) for b, angle, lean in rows), strict=True)
        return np.array(rotations), np.array(centres)

    @property
    def rotations(self) -> Floats:
        """From each ball's frame to the room's: (b, 3, 3) float."""
        return self._stances[0]

    @property
    def centres(self) -> Floats:
        """Each ball's centre, m: (b, 3) float."""
        return self._stances[1]

    @cached_property
    def polygons(self) -> Polygons:
        """All panels and tiles in the room's frame, in the order of Scene.still_polygons."""
        still = self.scene.still_polygons
        corners, normals = np.empty_like(still.corners), np.empty_like(still.normals)
        ends = np.searchsorted(still.ball, np.arange(len(self.angles) + 1))
        for b, (turn, centre) in enumerate(zip(self.rotations, self.centres, strict=True)):
            first, last = ends[b], ends[b + 1]
            stand(still.corners, still.normals, turn, centre, first, last, corners, normals)
        return still._replace(corners=corners, normals=normals)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _rows(value: Any) -> Any:
    """A table, or tables in any order that can be gone through, as a file holds them."""
    if isinstance(value, Iterable) and not isinstance(value, str | bytes | Mapping | Table):
        value = list(value)
    return plain(value)


def _polygons_of(ball: Ball, number: int) -> Polygons:
    body = ball.body
    widest = max(body.tile_corners.shape[1], body.panel_corners.shape[1])

    def widened(corners: Floats) -> Floats:
        missing = widest - corners.shape[1]
        return np.pad(corners, ((0, 0), (0, missing), (0, 0)), mode="edge")

    parts, counts = [body.tile_corners, body.panel_corners], [body.tile_sides, body.panel_sides]
    if ball.hole > 0.0:
        parts.append(plugs(body.tiles, ball.hole))
        counts.append(np.full(len(parts[-1]), HOLE_CORNERS))
        widest = max(widest, HOLE_CORNERS)
    corners = np.concatenate([widened(part) for part in parts])
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    mirror = np.arange(len(corners)) < len(body.tile_corners)
    return Polygons(
        corners=corners,
        sides=np.concatenate(counts).astype(np.int64),
        normals=normals,
        reflectance=np.where(mirror, ball.reflectance, 0.0),
        mirror=mirror,
        ball=np.full(len(corners), number, np.int64),
    )
