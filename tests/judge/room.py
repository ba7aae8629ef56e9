"""Where a photon inside the room lands: a spherical cap on an upright wall over a round floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

SURFACES = ("dome", "wall", "floor")
DOME, WALL, FLOOR = range(3)


@dataclass(frozen=True)
class Room:
    """radius of the floor and of the dome's rim, rise of the dome, height of the wall, all m.

    The origin is the middle of the floor, z is up; the rise is at most the radius.
    """

    radius: float
    rise: float
    wall: float = 0.0

    @property
    def sphere_radius(self) -> float:
        """Radius of the sphere the dome is a cap of, m."""
        return (self.radius**2 + self.rise**2) / (2 * self.rise)

    @property
    def sphere_height(self) -> float:
        """Height of that sphere's centre over the floor, m."""
        return self.wall + self.rise - self.sphere_radius

    def land(self, start: np.ndarray, direction: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Where rays from inside end: points (3, n) m, and surfaces (n,) int8.

        start (3, n) m; direction (3, n) unit. The room is convex, so a point of the cap ahead on
        the ray is where it ends, and otherwise it comes down on the floor or meets the wall.
        """
        centre = np.array([[0], [0], [self.sphere_height]], dtype=start.dtype)
        from_centre = start - centre
        along = np.einsum("ij,ij->j", from_centre, direction)
        square = along**2 - np.einsum("ij,ij->j", from_centre, from_centre) + self.sphere_radius**2
        path = np.sqrt(np.maximum(square, 0)) - along
        point = start + direction * path
        # Below the cap's rim, or behind, or beside the sphere: not on the cap.
        below = np.flatnonzero((point[2] < self.wall) | (path <= 0) | (square < 0))
        surface = np.full(start.shape[1], DOME, dtype=np.int8)
        if below.size:
            point[:, below], surface[below] = self._land_low(start[:, below], direction[:, below])
        return point, surface

    def _land_low(self, start: np.ndarray, direction: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        with np.errstate(divide="ignore", invalid="ignore"):
            point = start - direction * (start[2] / direction[2])
            point[2] = 0
            away = point[0] ** 2 + point[1] ** 2
            on_wall = (direction[2] >= 0) | ~(away <= self.radius**2)
        surface = np.full(start.shape[1], FLOOR, dtype=np.int8)
        if self.wall > 0 and on_wall.any():
            surface[on_wall] = WALL
            first, ahead = start[:, on_wall], direction[:, on_wall]
            level = ahead[0] ** 2 + ahead[1] ** 2
            along = first[0] * ahead[0] + first[1] * ahead[1]
            short = first[0] ** 2 + first[1] ** 2 - self.radius**2
            path = (np.sqrt(np.maximum(along**2 - level * short, 0)) - along) / level
            point[:, on_wall] = first + ahead * path
        elif on_wall.any():
            # Without a wall only rounding at the very rim ends here.
            point[:, on_wall] *= self.radius / np.sqrt(away[on_wall])
        return point, surface
