"""The geodesic frame of a dome: struts along great circles, and triangles with no fabric."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.kernels.arrays import Floats
from glint.room.surfaces.cap import Cap

STRUT = np.array([0.055, 0.05, 0.045])
"""Diffuse reflectance of the tubes, dull weathered steel; our own choice."""


@dataclass(frozen=True)
class Frame:
    """An icosahedron with a corner at the top, each face split evenly and blown up to the sphere.

    frequency: parts of an icosahedron's edge. tube: diameter, m. open: share of the triangles
    above the rim that carry no fabric. lowest: cosine of the angle from zenith to rim. seed:
    chooses the open ones.
    """

    frequency: int
    tube: float
    open: float
    lowest: float
    seed: int

    @cached_property
    def faces(self) -> Floats:
        """The icosahedron's faces: (20, 3, 3) float, unit corners, anticlockwise from outside.

        Corners at the poles and at latitudes of plus and minus atan(1/2) (Coxeter, Regular
        Polytopes, section 3.7).
        """
        low = math.atan(0.5)
        turns = 2.0 * math.pi * np.arange(5) / 5.0
        cosine, sine = math.cos(low), math.sin(low)
        upper = np.column_stack([cosine * np.cos(turns), cosine * np.sin(turns), np.full(5, sine)])
        half = turns + math.pi / 5.0
        lower = np.column_stack([cosine * np.cos(half), cosine * np.sin(half), np.full(5, -sine)])
        top, bottom = np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, -1.0])
        rows = []
        for i in range(5):
            j = (i + 1) % 5
            rows.append([top, upper[i], upper[j]])
            rows.append([upper[i], lower[i], upper[j]])
            rows.append([upper[j], lower[i], lower[j]])
            rows.append([bottom, lower[j], lower[i]])
        return np.array(rows)

    def locate(self, direction: Floats) -> tuple[np.ndarray, Floats]:
        """Icosahedron face of each direction, and its barycentric coordinates on the flat face.

        direction: (..., 3) float. Returns (...) int and (..., 3) float that add up to one. The
        nearest face centre is the right one, by symmetry.
        """
        face = np.argmax(direction @ self.faces.mean(axis=1).T, axis=-1)
        weights = np.einsum("...ij,...j->...i", np.linalg.inv(self._edges)[face], direction)
        return face, weights / weights.sum(axis=-1, keepdims=True)

    @cached_property
    def _edges(self) -> Floats:
        return np.swapaxes(self.faces, 1, 2)

    def triangle(self, face: np.ndarray, weights: Floats) -> np.ndarray:
        """Number of the small triangle: (...) int, below 20 * frequency**2."""
        parts = self.frequency
        steps = np.clip((weights * parts).astype(int), 0, parts - 1)
        row = parts - 1 - steps[..., 0]
        inverted = steps.sum(axis=-1) < parts - 1
        place = row * row + 2 * steps[..., 2] + inverted
        return face * parts * parts + np.minimum(place, parts * parts - 1)

    @cached_property
    def centres(self) -> Floats:
        """Direction of the middle of each small triangle: (20 * frequency**2, 3) float, unit."""
        parts = self.frequency
        found = np.zeros((20 * parts * parts, 3))
        for row in range(parts):
            for place in range(2 * row + 1):
                third, inverted = divmod(place, 2)
                first, second = parts - 1 - row, row - third - inverted
                add = 2.0 / 3.0 if inverted else 1.0 / 3.0
                weights = (np.array([first, second, third]) + add) / parts
                middles = np.einsum("fij,i->fj", self.faces, weights)
                numbers = np.arange(20) * parts * parts + row * row + place
                found[numbers] = middles / np.linalg.norm(middles, axis=1, keepdims=True)
        return found

    @cached_property
    def bare(self) -> np.ndarray:
        """Whether each small triangle carries no fabric: (20 * frequency**2,) bool."""
        above = np.flatnonzero(self.centres[:, 2] > self.lowest)
        bare = np.zeros(len(self.centres), bool)
        chosen = np.random.default_rng(self.seed).permutation(above)
        bare[chosen[: round(self.open * len(above))]] = True
        return bare

    def distance(self, direction: Floats, face: np.ndarray, weights: Floats) -> Floats:
        """Sine of the angle between each direction and the nearest strut: (...) float.

        Every strut lies on a great circle; on the flat face it is a line of constant weight k / f.
        """
        rows = np.linalg.inv(self._edges)
        nearest = np.full(face.shape, np.inf)
        for side in range(3):
            line = np.round(weights[..., side] * self.frequency) / self.frequency
            normal = rows[face, side] - line[..., None] * rows.sum(axis=1)[face]
            normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
            nearest = np.minimum(nearest, np.abs(np.einsum("...i,...i", normal, direction)))
        return nearest

    def is_bare(self, place: Floats) -> np.ndarray:
        """Whether points (n, 3), m from the sphere's centre, carry no fabric: (n,) bool."""
        direction = place / np.linalg.norm(place, axis=-1, keepdims=True)
        return self.bare[self.triangle(*self.locate(direction))]

    def is_open(self, place: Floats, cap: Cap) -> np.ndarray:
        """Whether points (..., 3) of the cap lie in an open triangle, clear of its struts and of
        the rim: light that falls there leaves. (...) bool."""
        direction = (place - cap.centre) / cap.radius
        face, weights = self.locate(direction)
        found = self.bare[self.triangle(face, weights)]
        # Most triangles carry fabric: the way to the nearest strut is only asked for in the others.
        some = direction[found]
        away = self.distance(some, face[found], weights[found])
        away = np.minimum(away, np.abs(some[:, 2] - self.lowest))
        found[found] = cap.radius * away > self.tube / 2.0
        return found

    def paint(self, place: Floats, cap: Cap, blur: float | Floats) -> Floats:
        """Reflectance at points of the cap: a Painter of Room."""
        place = place - cap.centre
        direction = place / np.linalg.norm(place, axis=-1, keepdims=True)
        face, weights = self.locate(direction)
        fabric = np.where(self.bare[self.triangle(face, weights)], 0.0, 1.0)
        away = cap.radius * self.distance(direction, face, weights)
        # The rim is a tube too.
        rim = cap.radius * np.abs(direction[..., 2] - self.lowest)
        away = np.minimum(away, rim)
        soft = np.maximum(np.asarray(blur, float), 1e-6)
        strut = np.clip((self.tube / 2.0 - away) / soft + 0.5, 0.0, 1.0)
        # A tube turns away from the light of the room towards its sides.
        round_off = np.sqrt(np.clip(1.0 - (2.0 * away / max(self.tube, 1e-9)) ** 2, 0.1, 1.0))
        tube = (strut * round_off)[..., None] * STRUT
        return tube + ((1.0 - strut) * fabric)[..., None] * cap.reflectance
