"""The diffuse glow of a body's inside, as seen through its openings.

Every opening looks alike bright from wherever it is seen. What a point far away gets is the sum of
the openings' vector irradiance (Lambert's formula for polygons), less what tiles stand in front of.
That sum is a smooth function of place, so it is kept in a table over directions at two distances.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import MOST_CORNERS, Flags, Floats, OccluderLists, Polygons
from glint.kernels.beams.reflect_and_clip import in_the_way, narrowed, take_shadows, trace_scratch
from glint.kernels.cavity.aperture_rays import thrown
from glint.kernels.cavity.led_beams import seen_through
from glint.kernels.geometry.bounding_cone import bounding_cone
from glint.kernels.geometry.bounding_sphere import spheres_about
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.equal_area import Chart, point

BANDS, AROUND = 25, 48
"""Directions of the table: from straight up to straight down, and around."""

RAYS = 500_000
"""Rays, of all openings together, that find what rims and mirrors outside do to the glow."""

LEAST_RAYS = 128
"""Least rays from each opening."""

BLUR = 60.0
"""Concentration of the smoothing of mirrored glow: about 10 degrees (von Mises and Fisher)."""


class ApertureGlow(NamedTuple):
    """What a body whose openings have a luminance of 1 sends to places around it, in its own frame.

    table: (2, BANDS, AROUND + 1, 3) float, m**2: vector irradiance times the square of the
        distance, outward, away from +z and around it, at the two distances, even in the angle from
        +z and in azimuth from 0 to 2 pi. (Between two directions an arrow that points outward at
        both would be too short, if it were not told by its parts.)
    near, far: m, the two distances; in between it is linear in 1 / distance
    escaped, absorbed, caught: float, shares of the openings' glow: to the room, into mirrors,
        and by panels, backs and rims of tiles
    """

    table: Floats
    near: float
    far: float
    escaped: float
    absorbed: float
    caught: float


@kernel
def _edge_sum(polygon, count, x, y, z, total):
    """Add a polygon's vector irradiance at a point for luminance 1: half the sum of the angles of
    its edges times the normals of their planes (Lambert 1760; Moon 1936)."""
    for i in range(count):
        j = (i + 1) % count
        ax, ay, az = polygon[i, 0] - x, polygon[i, 1] - y, polygon[i, 2] - z
        bx, by, bz = polygon[j, 0] - x, polygon[j, 1] - y, polygon[j, 2] - z
        cx, cy, cz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        sine = math.sqrt(cx * cx + cy * cy + cz * cz)
        if sine > 0.0:
            angle = math.atan2(sine, ax * bx + ay * by + az * bz)
            total[0] += 0.5 * angle * cx / sine
            total[1] += 0.5 * angle * cy / sine
            total[2] += 0.5 * angle * cz / sine


@kernel
def _bent(polygons, opening, place, scratch):
    """A ring that is not flat as triangles about its middle, for a place outside: how many, 0 from
    behind. Those seen from behind take away, in `_edge_sum`, what goes in again."""
    sides, middle, height = polygons.sides[opening], np.zeros(3), 0.0
    for c in range(sides):
        for k in range(3):
            middle[k] += polygons.corners[opening, c, k] / sides
    for k in range(3):
        height += polygons.normals[opening, k] * (place[k] - middle[k])
    if height <= 1e-9:
        return 0
    for c in range(sides):
        for k in range(3):
            scratch.pieces[c, 0, k] = middle[k]
            scratch.pieces[c, 1, k] = polygons.corners[opening, c, k]
            scratch.pieces[c, 2, k] = polygons.corners[opening, (c + 1) % sides, k]
        scratch.counts[c] = 3
    return sides


@kernel
def _seen(first, last, given, scratch):
    """Vector irradiance of all openings at places first to last of (n, 3), m, for luminance 1.

    found: (n, 3) float, added to; scratch: of `chain.new_trace_scratch`
    """
    polygons, rims, flat, occluders, spheres, solid, places, found = uncounted(given)
    scratch = uncounted(scratch)
    pieces, counts = scratch.pieces, scratch.counts
    for n in range(first, last):
        place = places[n]
        for opening in range(solid, polygons.sides.shape[0]):
            if flat[opening - solid]:
                used = seen_through(polygons, rims, flat, opening, solid, place, 1.0, scratch)
            else:
                used = _bent(polygons, opening, place, scratch)
            if used == 0:
                continue
            corners, sides = polygons.corners[opening], polygons.sides[opening]
            bounding_cone(place, 0.0, corners, sides, scratch.cone)
            blockers = in_the_way(
                polygons, occluders, spheres, opening, scratch.cone, scratch.found
            )
            if flat[opening - solid]:
                blockers = narrowed(polygons, blockers, place, pieces[0], counts[0], scratch)
            used = take_shadows(polygons, blockers, place, used, scratch)
            for p in range(used):
                _edge_sum(pieces[p], counts[p], place[0], place[1], place[2], found[n])


def aperture_glow(
    polygons: Polygons,
    rims: Floats,
    flat: Flags,
    occluders: OccluderLists,
    near: float,
    far: float,
    bounces: int = 4,
) -> ApertureGlow:
    """The table of a body's glow for places `near` to `far` from its middle, m.

    polygons, rims, flat, occluders: as in `led_beams.leave`. What comes straight from the openings
    is exact at the table's knots; what comes by mirrors is found by rays, and blurred.
    """
    solid = len(polygons.sides) - len(rims)
    wide = np.zeros((len(rims), MOST_CORNERS, 3))
    wide[:, : rims.shape[1]] = rims
    ways = _ways()
    places = np.concatenate([ways * near, ways * far])
    straight = np.zeros(places.shape)
    given = (polygons, wide, flat, occluders, spheres_about(polygons), solid, places, straight)
    share_out(len(places), _seen, given, scratch=trace_scratch(len(polygons.sides)))
    square = np.repeat([near * near, far * far], len(ways))[:, None]
    table = (straight * square).reshape(2, BANDS, AROUND, 3)
    spokes = rims - rims[:, :1]
    areas = 0.5 * np.linalg.norm(np.cross(spokes, np.roll(spokes, -1, axis=1)).sum(axis=1), axis=1)
    padded = rims
    if padded.shape[1] < polygons.corners.shape[1]:
        missing = polygons.corners.shape[1] - padded.shape[1]
        padded = np.pad(rims, ((0, 0), (0, missing), (0, 0)), mode="edge")
    rays = max(RAYS // max(len(rims), 1), LEAST_RAYS)
    fates, mirrored = np.zeros((len(rims), 3)), np.zeros((len(rims), rays, 7))
    given = (polygons, padded, occluders, solid, bounces, rays, fates, mirrored)
    share_out(len(rims), thrown, given)
    whole = areas.sum()
    escaped, absorbed, _ = (areas @ fates / whole) if whole else np.zeros(3)
    # Rays of bent rings also count below zero, so by chance the three do not quite make up 1. What
    # is off comes from rays at a slant, of which many are caught.
    absorbed = max(absorbed, 0.0)
    caught = 1.0 - escaped - absorbed if whole else 0.0
    gone = mirrored[..., 6] != 0.0
    if gone.any():
        rows = mirrored[gone]
        flux = (math.pi * areas[:, None] * mirrored[..., 6])[gone]
        for level, reach in enumerate((near, far)):
            table[level] += _smoothed(rows[:, :3], rows[:, 3:6], flux, reach)
    table = np.einsum("lbak,bamk->lbam", table, _axes().reshape(BANDS, AROUND, 3, 3))
    table = np.concatenate([table, table[:, :, :1]], axis=2)
    return ApertureGlow(table, near, far, float(escaped), float(absorbed), float(caught))


def _ways() -> Floats:
    """The table's directions: (BANDS AROUND, 3) float."""
    polar = np.linspace(0.0, math.pi, BANDS)[:, None]
    azimuth = np.linspace(0.0, 2.0 * math.pi, AROUND, endpoint=False)[None]
    x, y = np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth)
    return np.stack([x, y, np.cos(polar) + 0.0 * azimuth], axis=-1).reshape(-1, 3)


def _axes() -> Floats:
    """Outward, away from +z and around it, in each of the table's directions: (n, 3, 3) float."""
    outward = _ways()
    turn = np.tile(np.linspace(0.0, 2.0 * math.pi, AROUND, endpoint=False), BANDS)
    around = np.stack([-np.sin(turn), np.cos(turn), 0.0 * turn], axis=-1)
    return np.stack([outward, np.cross(around, outward), around], axis=1)


def _smoothed(start: Floats, way: Floats, flux: Floats, reach: float) -> Floats:
    """Vector irradiance times distance squared of rays at a distance: (BANDS, AROUND, 3) float.

    Rays are first gathered in small cells of the sphere, then each cell is spread over the
    directions about it with a von Mises-Fisher density.
    """
    along = (start * way).sum(axis=1)
    t = -along + np.sqrt(along**2 - (start * start).sum(axis=1) + reach * reach)
    place = (start + t[:, None] * way) / reach
    bands, around = 48, 96
    row = np.minimum(((1.0 - place[:, 2]) * 0.5 * bands).astype(int), bands - 1)
    turn = np.arctan2(place[:, 1], place[:, 0]) / (2.0 * math.pi) % 1.0
    cell = row * around + np.minimum((turn * around).astype(int), around - 1)
    cosine = np.maximum((place * way).sum(axis=1), 1e-3)
    # The flux through a cell is its vector irradiance along the way times the cosine there.
    value = flux / cosine
    sums = np.stack(
        [np.bincount(cell, value * w, bands * around) for w in (*way.T, *place.T)]
        + [np.bincount(cell, value, bands * around)],
        axis=1,
    )
    lit = sums[:, 6] > 0.0
    middle = sums[lit, 3:6] / np.linalg.norm(sums[lit, 3:6], axis=1, keepdims=True)
    near = np.exp(BLUR * (_ways() @ middle.T - 1.0))
    density = BLUR / (2.0 * math.pi * (1.0 - math.exp(-2.0 * BLUR)))
    return (density * near @ sums[lit, :3]).reshape(BANDS, AROUND, 3)


@kernel
def vector_at(table, near, far, x, y, z):
    """Vector irradiance at a place in the body's frame for luminance 1, three numbers."""
    distance = math.sqrt(x * x + y * y + z * z)
    level = (1.0 / distance - 1.0 / far) / (1.0 / near - 1.0 / far)
    band = math.acos(min(max(z / distance, -1.0), 1.0)) / math.pi * (BANDS - 1)
    turn = math.atan2(y, x) / (2.0 * math.pi)
    turn = (turn + 1.0 if turn < 0.0 else turn) * AROUND
    i, j = min(int(band), BANDS - 2), min(int(turn), AROUND - 1)
    u, v = band - i, turn - j
    scale = 1.0 / (distance * distance)
    a, b, c, d = (1.0 - u) * (1.0 - v), (1.0 - u) * v, u * (1.0 - v), u * v
    outward = away = around = 0.0
    for side in range(2):
        w = scale * (level if side == 0 else 1.0 - level)
        p, q, r, t = (
            table[side, i, j],
            table[side, i, j + 1],
            table[side, i + 1, j],
            table[side, i + 1, j + 1],
        )
        outward += w * (a * p[0] + b * q[0] + c * r[0] + d * t[0])
        away += w * (a * p[1] + b * q[1] + c * r[1] + d * t[1])
        around += w * (a * p[2] + b * q[2] + c * r[2] + d * t[2])
    across = math.sqrt(x * x + y * y)
    cosine, sine = (x / across, y / across) if across > 0.0 else (1.0, 0.0)
    beside = (outward * across + away * z) / distance
    return (
        beside * cosine - around * sine,
        beside * sine + around * cosine,
        (outward * z - away * across) / distance,
    )


@kernel
def _at_knots(first, last, given):
    """Illuminance for luminance 1 at every step-th texel of every step-th row, from row first to
    last of `knots`, (r, c) float, lx."""
    table, near, far, centre, turn, kind, place, form, step, knots = uncounted(given)
    for r in range(first, last):
        for c in range(knots.shape[1]):
            _, x, y, z, nx, ny, nz = point(
                kind,
                form,
                place[0] + c * step * place[1],
                place[2] + r * step * place[3],
            )
            dx, dy, dz = x - centre[0], y - centre[1], z - centre[2]
            bx = turn[0, 0] * dx + turn[1, 0] * dy + turn[2, 0] * dz
            by = turn[0, 1] * dx + turn[1, 1] * dy + turn[2, 1] * dz
            bz = turn[0, 2] * dx + turn[1, 2] * dy + turn[2, 2] * dz
            fx, fy, fz = vector_at(table, near, far, bx, by, bz)
            gx = turn[0, 0] * fx + turn[0, 1] * fy + turn[0, 2] * fz
            gy = turn[1, 0] * fx + turn[1, 1] * fy + turn[1, 2] * fz
            gz = turn[2, 0] * fx + turn[2, 1] * fy + turn[2, 2] * fz
            knots[r, c] = max(-(nx * gx + ny * gy + nz * gz), 0.0)


@kernel
def _between(first, last, given):
    """Add the light between knots to a map, from row first to last."""
    knots, radiance, kind, size, place, form, step, lux = uncounted(given)
    for row in range(first, last):
        r, u = row // step, (row % step) / step
        for column in range(size[1]):
            on = point(kind, form, place[0] + column * place[1], place[2] + row * place[3])[0]
            if not on:
                continue
            c, v = column // step, (column % step) / step
            low = (1.0 - v) * knots[r, c] + v * knots[r, c + 1]
            high = (1.0 - v) * knots[r + 1, c] + v * knots[r + 1, c + 1]
            value = (1.0 - u) * low + u * high
            for k in range(3):
                lux[row, column, k] += value * radiance[k]


FINE = 0.03
"""Knots between which the glow on a map is linear are at most this share of the nearest distance
apart."""


def add_glow(
    found: ApertureGlow,
    centre: Floats,
    turn: Floats,
    radiance: Floats,
    chart: Chart,
    lux: np.ndarray,
) -> None:
    """Add the glow of a body to a map.

    centre: (3,) float, m; turn: (3, 3) float, from the body's frame to the room's; radiance: (3,)
    float, cd/m**2 of the openings, linear RGB; lux: (h, w, 3) float32, lx, changed in place.
    """
    texel = math.sqrt(chart.texel_area)
    step = int(min(max(FINE * found.near // texel, 1), 8))
    kind, form, place = chart.kind, chart.form, np.ascontiguousarray(chart.place)
    knots = np.empty([(int(side) - 1) // step + 2 for side in chart.size])
    body = (found.table, found.near, found.far, np.asarray(centre, float))
    given = (*body, np.ascontiguousarray(turn, float), kind, place, form, step, knots)
    share_out(len(knots), _at_knots, given)
    shown = (knots, np.asarray(radiance, float), kind, chart.size, place, form, step, lux)
    share_out(len(lux), _between, shown)
