"""The dome: a spherical cap on an upright wall, and the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from glint.room.surface import Floats, Surface


@dataclass(frozen=True)
class Room:
    """The convex space around the balls.

    surfaces: the room's inside, without gaps
    ambient: (3,) float, lx, linear RGB, on every surface, before any lamp
    """

    surfaces: tuple[Surface, ...]
    ambient: Floats

    @property
    def height(self) -> float:
        """From the floor to the top, m."""
        cap = self.surfaces[0]
        return float(cap.centre[2]) + cap.radius

    def clearance(self, place: Floats) -> float:
        """Distance from a point to the nearest surface, m; below zero outside."""
        x, y, z = (float(value) for value in place)
        nearest = math.inf
        for surface in self.surfaces:
            if surface.kind == "disc":
                nearest = min(nearest, z - float(surface.centre[2]))
            elif surface.kind == "cylinder":
                nearest = min(nearest, surface.radius - math.hypot(x, y))
            else:
                away = math.dist((x, y, z), tuple(surface.centre))
                nearest = min(nearest, surface.radius - away)
        return nearest

    def interreflected(self, landed: dict[str, Floats]) -> Floats:
        """Mean illuminance that the surfaces' own diffuse reflections add, lx: (3,) float.

        landed: lumens that fall on each surface directly, (3,) linear RGB. The mean of an
        integrating sphere (Goebel 1967): what is reflected once, over the area and what one
        round of reflections loses.
        """
        area = sum(surface.area for surface in self.surfaces)
        mean = sum(s.area * s.reflectance for s in self.surfaces) / area
        first = sum(s.reflectance * landed[s.name] for s in self.surfaces)
        return np.asarray(first / (area * (1.0 - mean)), float)


def dome(
    radius: float,
    rise: float,
    wall: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
) -> Room:
    """A dome of a base radius and a rise (m) on an upright wall (m), and its floor at z = 0.

    fabric, floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx.
    """
    sphere = (radius * radius + rise * rise) / (2.0 * rise)
    surfaces = [
        Surface("dome", "cap", np.array([0, 0, wall + rise - sphere]), sphere, rise, fabric)
    ]
    if wall > 0.0:
        surfaces.append(Surface("wall", "cylinder", np.zeros(3), radius, wall, fabric))
    surfaces.append(Surface("floor", "disc", np.zeros(3), radius, 0.0, floor))
    return Room(tuple(surfaces), np.full(3, ambient))
