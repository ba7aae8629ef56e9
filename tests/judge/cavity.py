"""Photons from small lamps inside a body: off its diffuse walls, out of its openings, into a room.

A lamp is a sphere, every point of which is alike bright from all sides: photons leave it evenly
over its surface, by Lambert's law. A panel met from behind, on the inside, reflects by Lambert's
law too; met from the front, on the outside, it keeps the photon. Mirrors are mirrors.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from tests.judge.geometry import Geometry
from tests.judge.maps import Landing, Sink
from tests.judge.room import SURFACES, Room

STEP = 2e-6  # m off a wall, so that a photon does not fall back on it
MOST_MEETINGS = 400
BATCH = 1 << 15


class Cavity(NamedTuple):
    """Shares of the lamps' light: straight out, by way of the walls, absorbed by walls, absorbed in
    mirrors, caught outside. surfaces: of all that came out, by surface. out_error: standard error
    of the first two together. seconds: taken.
    """

    straight: float
    glow: float
    walls: float
    absorbed: float
    caught: float
    surfaces: dict[str, float]
    out_error: float
    seconds: float


def throw_inside(
    geometry: Geometry,
    lamps: np.ndarray,
    radius: float,
    room: Room,
    photons: int,
    *,
    walls: float,
    mirrors: float,
    lumens: float = 1.0,
    sinks: Sequence[Sink] = (),
    seed: int = 0,
) -> Cavity:
    """Throw photons from equal lamps, (n, 3) m, of a radius, m. walls, mirrors: reflectances.

    lumens: of all lamps together, the weight that sinks get to see.
    """
    random = np.random.default_rng(seed)
    areas = np.cross(
        geometry.triangles[:, 1] - geometry.triangles[:, 0],
        geometry.triangles[:, 2] - geometry.triangles[:, 0],
    )
    normals = areas / np.linalg.norm(areas, axis=1, keepdims=True)
    offsets = np.einsum("ij,ij->i", normals, geometry.triangles[:, 0] - geometry.centre)
    sums, square = np.zeros(5), 0.0
    surfaces = np.zeros(len(SURFACES))
    start = time.perf_counter()
    left = photons
    while left > 0:
        count = min(left, BATCH)
        left -= count
        for sink in sinks:
            sink.photons += count
        out = normals_on_a_sphere(random, count)
        place = lamps[random.integers(len(lamps), size=count)] - geometry.centre + radius * out
        way, weight = lambertian(random, out), np.ones(count)
        inner = np.zeros(count, bool)
        for _ in range(MOST_MEETINGS):
            if not len(weight):
                break
            face = geometry.embree.run(
                place.astype(np.float32), way.astype(np.float32), query="INTERSECT"
            )
            gone = face < 0
            sums[0] += weight[gone & ~inner].sum()
            sums[1] += weight[gone & inner].sum()
            square += np.square(weight[gone]).sum()
            point, surface = room.land((place[gone] + geometry.centre).T, way[gone].T)
            surfaces += np.bincount(surface, weight[gone], len(SURFACES))
            landing = Landing(point, way[gone].T, lumens * weight[gone], surface, 1, None)
            for sink in sinks:
                sink.add(landing)
            normal, offset = normals[face], offsets[face]
            slope = np.einsum("ij,ij->i", way, normal)
            mirror = ~gone & (face < geometry.mirror_triangles)
            panel = ~gone & ~mirror
            sums[4] += weight[(mirror & (slope > 0)) | (panel & (slope < 0))].sum()
            wall, glass = panel & (slope > 0), mirror & (slope < 0)
            sums[2] += (1 - walls) * weight[wall].sum()
            sums[3] += (1 - mirrors) * weight[glass].sum()
            t = (offset - np.einsum("ij,ij->i", place, normal)) / slope
            here = place + t[:, None] * way
            weight = weight * np.where(wall, walls, mirrors)
            side = np.where(glass, 1.0, -1.0)[:, None] * normal
            way = np.where(
                glass[:, None], way - 2 * slope[:, None] * normal, lambertian(random, side)
            )
            # Light that came from a wall and meets a mirror outside is glow still.
            inner = inner | wall
            place = here + STEP * side
            on = (wall | glass) & (weight > 0)
            # Faint photons go on with one chance in two, and twice the weight.
            faint = on & (weight < 0.05)
            dies = faint & (random.random(len(weight)) < 0.5)
            weight = np.where(faint & ~dies, 2 * weight, weight)
            on &= ~dies
            place, way, weight = place[on], way[on], weight[on]
            inner = inner[on]
    sums /= photons
    mean = sums[0] + sums[1]
    error = np.sqrt(max(square / photons - mean**2, 0.0) / photons)
    return Cavity(
        *map(float, sums),
        dict(zip(SURFACES, map(float, surfaces / photons), strict=True)),
        float(error),
        time.perf_counter() - start,
    )


def normals_on_a_sphere(random: np.random.Generator, count: int) -> np.ndarray:
    """Directions (count, 3), all alike likely."""
    way = random.normal(size=(count, 3))
    return way / np.linalg.norm(way, axis=1, keepdims=True)


def lambertian(random: np.random.Generator, normal: np.ndarray) -> np.ndarray:
    """Directions (n, 3) about normals (n, 3) by Lambert's law: a point of a unit sphere that
    touches the surface, seen from where it touches."""
    way = normal + (1 - 1e-9) * normals_on_a_sphere(random, len(normal))
    return way / np.linalg.norm(way, axis=1, keepdims=True)
