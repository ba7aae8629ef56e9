"""What is overhead as directions from the middle of the floor: round, or with corners."""

from __future__ import annotations

import math
from typing import NamedTuple, Protocol

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers

SLACK = 1e-12


class Sky(Protocol):
    """A part of the sphere of directions.

    `holds` says which of (n, 3) unit vectors lie in it. `rim_places` gives the places (k, 3) of its
    rim that can be the farthest from some sites (n, 3): one of them is, of those on the rim.
    pairs: (p, 2) int, sites whose cells may border on each other.
    """

    def holds(self, directions: Floats) -> Flags: ...

    def rim_places(self, sites: Floats, pairs: Integers) -> Floats: ...


class RoundSky(NamedTuple):
    """A cap about the zenith; rim: its angle from there, rad."""

    rim: float

    def holds(self, directions: Floats) -> Flags:
        """As in Sky."""
        return directions[:, 2] >= math.cos(self.rim) - SLACK

    def rim_places(self, sites: Floats, pairs: Integers) -> Floats:
        """Opposite each site, and where the great circles half-way between sites cross the rim."""
        bearing = np.arctan2(sites[:, 1], sites[:, 0])
        apart = sites[pairs[:, 0]] - sites[pairs[:, 1]]
        reach = math.sin(self.rim) * np.hypot(apart[:, 0], apart[:, 1])
        level = -math.cos(self.rim) * apart[:, 2]
        crossing = (np.abs(level) <= reach) & (reach > 1e-15)
        middle = np.arctan2(apart[crossing, 1], apart[crossing, 0])
        aside = np.arccos(level[crossing] / reach[crossing])
        return self._at(np.concatenate([bearing + math.pi, middle + aside, middle - aside]))

    def _at(self, bearing: Floats) -> Floats:
        out, up = math.sin(self.rim), np.full(len(bearing), math.cos(self.rim))
        return np.column_stack([out * np.cos(bearing), out * np.sin(bearing), up])


class CorneredSky(NamedTuple):
    """A convex part with great circles for sides; corners: (c, 3) float, unit, in order."""

    corners: Floats

    @property
    def sides(self) -> Floats:
        """Unit normals of the sides' planes, inward: (c, 3) float."""
        normals = np.cross(self.corners, np.roll(self.corners, -1, axis=0))
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        return normals * np.sign(normals @ self.corners.mean(axis=0))[:, None]

    def holds(self, directions: Floats) -> Flags:
        """As in Sky."""
        return np.all(directions @ self.sides.T >= -SLACK, axis=1)

    def rim_places(self, sites: Floats, pairs: Integers) -> Floats:
        """The corners; where the great circles half-way between sites cross the sides; and the
        place of each side's great circle that is farthest from a site."""
        apart = sites[pairs[:, 0]] - sites[pairs[:, 1]]
        crossings = np.asarray(np.concatenate([np.cross(apart, s) for s in self.sides]), float)
        opposite = np.concatenate([(sites @ side)[:, None] * side - sites for side in self.sides])
        found = np.concatenate([crossings, -crossings, opposite])
        length = np.linalg.norm(found, axis=1)
        found = found[length > 1e-15] / length[length > 1e-15, None]
        return np.concatenate([self.corners, found[self.holds(found)]])
