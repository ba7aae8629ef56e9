"""A room: the convex space around the balls, made of surfaces without gaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from glint.room.geodesic_frame import Frame
from glint.room.surface import Floats, Surface


@dataclass(frozen=True)
class Room:
    """The convex space around the balls.

    surfaces: the room's inside, without gaps; what is overhead first, the floor last
    ambient: (3,) float, lx, linear RGB, on every surface, before any lamp
    frame: the struts of a dome, and which of its triangles carry no fabric
    pole: radius of a bell's pole, m; 0 without. Drawn only: it casts no shadow
    """

    surfaces: tuple[Surface, ...]
    ambient: Floats
    frame: Frame | None = None
    pole: float = 0.0

    @property
    def height(self) -> float:
        """From the floor to the top, m."""
        top = self.surfaces[0]
        return float(top.centre[2]) + (top.radius if top.kind == "cap" else 0.0)

    def seen_from(self, view: str) -> Surface:
        """The surface that a view shows: "dome" what is overhead, else the one of that name."""
        if view == "dome":
            return self.surfaces[0]
        return next(surface for surface in self.surfaces if surface.name == view)

    def clearance(self, place: Floats) -> float:
        """Distance from a point to the nearest surface, m; below zero outside."""
        return min(surface.clearance(place) for surface in self.surfaces)

    def furthest(self, place: Floats) -> float:
        """Distance from a point inside to the furthest of the room, m."""
        return max(surface.furthest(place) for surface in self.surfaces)

    def interreflected(self, landed: dict[str, Floats]) -> Floats:
        """Mean illuminance that the surfaces' own diffuse reflections add, lx: (3,) float.

        landed: lumens that fall on each surface directly, (3,) linear RGB. The mean of an
        integrating sphere (Goebel 1967): what is reflected once, over the area and what one
        round of reflections loses. What falls on openings is taken as their share of the surface.
        """
        area = sum(surface.area for surface in self.surfaces)
        mean = sum(s.area * s.mean_reflectance for s in self.surfaces) / area
        first = sum(s.mean_reflectance * landed[s.name] for s in self.surfaces)
        return np.asarray(first / (area * (1.0 - mean)), float)

    def is_plain(self, surface: Surface) -> bool:
        """Whether a surface is of one reflectance all over."""
        framed = surface.kind == "cap" and self.frame is not None
        return surface.open == 0.0 and surface.kind != "cone" and not framed

    def paint(self, surface: Surface, place: Floats, blur: float | Floats = 0.0) -> Floats:
        """Diffuse reflectance at points of a surface, with struts on it and openings dark.

        place: (..., 3) float, m. blur: m, over which a strut's edge is drawn soft; one number or
        (...) float. Returns (..., 3) float, linear RGB.
        """
        if surface.open >= 1.0:
            return np.zeros(place.shape)
        if surface.kind == "cap" and self.frame is not None:
            return self.frame.paint(place - surface.centre, surface, blur)
        if surface.kind == "cone":
            return _seamed(place, surface, blur)
        return np.broadcast_to(surface.reflectance, place.shape)


GORES, SEAM = 16, 0.018
"""Lengths of cloth that a bell's roof is sewn from, and how wide their seams are, m; our choice."""

DOUBLED = 0.82
"""Light that a seam, where the cloth lies doubled and in shadow of its hem, gives back."""


def _seamed(place: Floats, cone: Surface, blur: float | Floats) -> Floats:
    """Reflectance of a roof sewn from gores: a little less along seams that run to the tip."""
    x, y = place[..., 0] - cone.centre[0], place[..., 1] - cone.centre[1]
    turns = np.arctan2(y, x) * GORES / (2.0 * np.pi)
    away = np.abs(turns - np.round(turns)) * 2.0 * np.pi / GORES * np.hypot(x, y)
    soft = np.maximum(np.asarray(blur, float), 1e-6)
    seam = np.clip((SEAM / 2.0 - away) / soft + 0.5, 0.0, 1.0) * np.minimum(SEAM / soft, 1.0)
    return (1.0 - (1.0 - DOUBLED) * seam)[..., None] * cone.reflectance
