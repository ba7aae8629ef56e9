"""A room: the convex space around the balls, made of surfaces without gaps."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from glint.kernels.arrays import Floats
from glint.room.geodesic_frame import Frame
from glint.room.overhead import Overhead
from glint.room.surface import Surface

Painter = Callable[[Floats, Any, "float | Floats"], Floats]
"""Reflectance (..., 3) of a surface that is not of one colour: of points (..., 3) on it, m, the
surface, and a length, m, over which edges are drawn soft."""


@dataclass(frozen=True)
class Room:
    """The convex space around the balls.

    surfaces: the room's inside, without gaps; what is overhead first, the floor last
    ambient: (3,) float, lx, linear RGB, on every surface, before any lamp
    frame: the struts of a dome, and which of its triangles carry no fabric
    pole: radius of a bell's pole, m; 0 without. Drawn only: it casts no shadow
    above: how many surfaces are overhead
    painters: of surfaces that are not of one colour, by name
    """

    surfaces: tuple[Surface, ...]
    ambient: Floats
    frame: Frame | None = None
    pole: float = 0.0
    above: int = 1
    painters: Mapping[str, Painter] = field(default_factory=dict)

    @cached_property
    def overhead(self) -> Overhead:
        """All surfaces overhead."""
        return Overhead(self.surfaces[: self.above])

    @property
    def height(self) -> float:
        """From the floor to the top, m."""
        return max(part.top for part in self.overhead.parts)

    @property
    def floor(self) -> Surface:
        """What one stands on."""
        return self.surfaces[-1]

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
        round of reflections loses. What falls on openings does not count as landed.
        """
        area = sum(surface.area for surface in self.surfaces)
        mean = sum(s.area * s.mean_reflectance for s in self.surfaces) / area
        first = sum(s.reflectance * landed[s.name] for s in self.surfaces)
        return np.asarray(first / (area * (1.0 - mean)), float)

    def is_plain(self, surface: Surface) -> bool:
        """Whether a surface is of one reflectance all over."""
        return surface.open == 0.0 and surface.name not in self.painters

    def paint(self, surface: Surface, place: Floats, blur: float | Floats = 0.0) -> Floats:
        """Diffuse reflectance at points of a surface, with struts on it and openings dark.

        place: (..., 3) float, m. blur: m, over which a strut's edge is drawn soft; one number or
        (...) float. Returns (..., 3) float, linear RGB.
        """
        if surface.open >= 1.0:
            return np.zeros(place.shape)
        if surface.name in self.painters:
            return self.painters[surface.name](place, surface, blur)
        return np.broadcast_to(surface.reflectance, place.shape)
