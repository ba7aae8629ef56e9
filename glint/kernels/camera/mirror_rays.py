"""What a ray from the eye sees: mirrors that show mirrors, panels, and in the end the room."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats
from glint.kernels.camera.projection import ray
from glint.kernels.camera.rasterize import SIDE, cover_field, polygons_in_fields, rays_of_field
from glint.kernels.geometry.bvh import (
    DEEPEST,
    NOTHING,
    nearest_polygon,
    passes_inside,
    turned_normal,
)
from glint.kernels.illuminance.visible_lens import lens_light
from glint.kernels.runtime.jit import inlined, kernel
from glint.kernels.runtime.threads import scratch_of, share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.surfaces.ray_cast import FAR, cast, locate
from glint.kernels.surfaces.room_texture import luminance_at

SMOOTH = 0.1
"""Where two samples of a pixel that see one polygon differ by less than this share, the rest of
them are spared."""

NEAR, WIDE = 0.75, 1.2
"""Pixels from a ray within which no edge may be seen, straight or in mirrors, where the ray stands
for others: through the middle of the pixel, and elsewhere in it."""

REFLECTIONS = 4
"""Most mirrors that a ray from the eye is followed over."""

LIFT = 1e-7
"""A ray starts again this far off the surface that it left, m."""

ANY_PRIME = 1_000_003
"""By which the numbers of the polygons that a ray meets are made one."""


class Samples(NamedTuple):
    """Places in a pixel, 0..1, that rays go through.

    few: (n, 2) float, of most pixels; many: (m, 2) float, of those marked in `fine`, (h, w) bool,
    where something small may shine, and of those about them
    """

    few: Floats
    many: Floats
    fine: Flags


@kernel
def lit_by_lamps(solid, turn, lamps, x, y, z, nx, ny, nz, own, begin, wide, stack, light):
    """Add the lamps' direct light at a point of a body, with shadows taken from the lens centre.

    own, begin: the body, and what of it may throw a shadow there, as for `nearest_polygon`. light:
    (3,) float, lx, changed in place. Returns whether no edge of a shadow is so near, m.
    """
    clear = True
    for lamp in range(lamps.lumens.shape[0]):
        frame, lens = lamps.frame, lamps.position
        dx, dy, dz = x - lens[lamp, 0], y - lens[lamp, 1], z - lens[lamp, 2]
        px = frame[lamp, 0, 0] * dx + frame[lamp, 0, 1] * dy + frame[lamp, 0, 2] * dz
        py = frame[lamp, 1, 0] * dx + frame[lamp, 1, 1] * dy + frame[lamp, 1, 2] * dz
        pz = frame[lamp, 2, 0] * dx + frame[lamp, 2, 1] * dy + frame[lamp, 2, 2] * dz
        if pz <= 0.0:
            continue
        value = lens_light(lamps, lamp, frame[lamp], px, py, pz, nx, ny, nz, 1.0, 0.0, 0.0)
        if value <= 0.0:
            continue
        far = math.sqrt(dx * dx + dy * dy + dz * dz)
        ux, uy, uz = -dx / far, -dy / far, -dz / far
        shadow, _, path, edge = nearest_polygon(
            solid, turn, x + LIFT * nx, y + LIFT * ny, z + LIFT * nz, ux, uy, uz,
            far * (1.0 - 1e-3), own, begin, wide, 0.0, stack,
        )  # fmt: skip
        clear &= edge > path
        if shadow == NOTHING:
            for k in range(3):
                light[k] += value * lamps.colour[lamp, k]
    return clear


@inlined
def followed(
    bodies, turn, lamps, room, body, polygon, path, x, y, z, dx, dy, dz, growth, stack, light
):
    """Luminance along a ray, cd/m**2, that meets a polygon so far away.

    growth: how far from the ray, on each of its metres, edges count. light: (3,) float, linear RGB,
    written. Returns a number for what the ray meets, and whether it is far from all edges that it
    passes, of shadows too. The lamps' lenses are left out: a ray would find them by
    luck only (see `flash`).
    """
    share, way, clear, wide = 1.0, 0, True, 0.0
    for bounce in range(REFLECTIONS + 1):
        if body == NOTHING:
            s, path = cast(room.kinds, room.forms, x, y, z, dx, dy, dz)
            across, up = locate(
                room.kinds[s], room.forms[s], x + path * dx, y + path * dy, z + path * dz
            )
            r, g, b = luminance_at(room, s, across, up)
            light[0], light[1], light[2] = share * r, share * g, share * b
            return way, clear
        way = way * ANY_PRIME + polygon + 1
        nx, ny, nz = turned_normal(bodies.normals, turn, body, polygon)
        x, y, z = x + path * dx, y + path * dy, z + path * dz
        fall = dx * nx + dy * ny + dz * nz
        if (
            bodies.depth[polygon] >= 0.0
            and fall < 0.0
            and passes_inside(bodies, turn, body, polygon, x, y, z, dx, dy, dz, fall)
        ):
            for k in range(3):
                light[k] = share * bodies.luminance[body, k]
            return -way, False
        if not bodies.mirror[polygon] or fall > 0.0:
            own, begin = body, bodies.solid.ahead[polygon]
            if fall > 0.0:
                own, nx, ny, nz = NOTHING, -nx, -ny, -nz
            for k in range(3):
                light[k] = room.ambient[k]
            wide += growth * path
            clear &= lit_by_lamps(
                bodies.solid, turn, lamps, x, y, z, nx, ny, nz, own, begin, wide, stack, light
            )
            for k in range(3):
                light[k] *= share * bodies.paint[polygon, k] / math.pi
            return way, clear
        share *= bodies.reflectance[polygon]
        if bounce < REFLECTIONS:
            dx, dy, dz = dx - 2.0 * fall * nx, dy - 2.0 * fall * ny, dz - 2.0 * fall * nz
            x, y, z = x + LIFT * nx, y + LIFT * ny, z + LIFT * nz
            wide += growth * path
            begin = bodies.solid.ahead[polygon]
            body, polygon, path, edge = nearest_polygon(
                bodies.solid, turn, x, y, z, dx, dy, dz, FAR, body, begin, wide, growth, stack
            )
            clear &= edge > path
    for k in range(3):
        # Mirrors without end, as in a corner: what the room's ambient would give.
        light[k] = share * room.ambient[k] / math.pi
    return way, False


@kernel
def _path_to_plane(bodies, turn, p, x, y, z, dx, dy, dz):
    """How far along a ray the plane of a polygon is."""
    nx, ny, nz = turned_normal(bodies.normals, turn, bodies.body[p], p)
    cx, cy, cz = bodies.corners[p, 0, 0], bodies.corners[p, 0, 1], bodies.corners[p, 0, 2]
    t = turn[bodies.body[p]]
    ox = t[0] * cx + t[1] * cy + t[2] * cz + t[9] - x
    oy = t[3] * cx + t[4] * cy + t[5] * cz + t[10] - y
    oz = t[6] * cx + t[7] * cy + t[8] * cz + t[11] - z
    return (ox * nx + oy * ny + oz * nz) / (dx * nx + dy * ny + dz * nz)


@kernel
def _spares(found, light, way, clear, first, n, moments):
    """The samples of a pixel before the n-th that stand for it, as they see the same polygon: one,
    twice, or two that are alike where they show different moments; or NOTHING twice."""
    one = NOTHING
    for k in range(n):
        if found[first + k] == found[first + n]:
            if not clear[k]:
                break
            if moments == 1:
                return k, k
            if one >= 0:
                a = light[one, 0] + light[one, 1] + light[one, 2]
                b = light[k, 0] + light[k, 1] + light[k, 2]
                if way[one] == way[k] and abs(a - b) <= SMOOTH * max(a, b):
                    return one, k
                break
            one = k
    return NOTHING, NOTHING


def _new_scratch(width, samples):
    """What one thread works on: see `_draw_fields`."""
    pixels = SIDE * SIDE
    return (
        np.empty((pixels * samples, 3)),
        np.empty(pixels * samples),
        np.empty(pixels * samples, np.int32),
        np.empty((width, 3)),
        np.empty((samples + 1, 3)),
        np.empty(samples + 1, np.int64),
        np.empty(samples + 1, np.bool_),
        np.empty(DEEPEST, np.int64),
    )


def draw_bodies(bodies, instants, lamps, room, camera, fields, samples, picture, kept):
    """Draw the bodies over the room's picture, each pixel by the mean of fixed samples.

    Which polygon a sample sees is found out for all of them. From there on only some are followed
    of those of a pixel that see the same polygon: one, where it ends in the room and no edge can
    be seen near it; two, where these take the same mirrors and are alike; else all.

    instants: (m, b, 12) float, where the bodies stand while the shutter is open; samples take them
        in turn, which streaks what moves (Cook, Porter & Carpenter 1984).
    fields: the pixels to draw, see `cover.Fields`.
    picture: (h, w, 3) float32, changed in place.
    kept: (h, w) float32, written where bodies are met: the share of the pixel that they leave;
        or of no size where nobody asks.
    """
    listed = polygons_in_fields(bodies, instants, camera, fields.number, len(fields.place))
    given = (bodies, instants, lamps, room, camera, fields, samples, listed, picture, kept)
    sizes = (bodies.corners.shape[1], max(len(samples.few), len(samples.many)))
    share_out(
        len(fields.place), _draw_fields, given, scratch=lambda: scratch_of(_new_scratch, *sizes)
    )


@kernel
def _draw_fields(begin, end, given, scratch):
    bodies, instants, lamps, room, camera, fields, samples, listed, picture, kept = uncounted(given)
    ways, paths, found, edges, light, way, clear, stack = uncounted(scratch)
    box, start, entries = listed
    at, body_of = camera.at, bodies.body
    height, width, moments = picture.shape[0], picture.shape[1], instants.shape[0]
    x, y, z = at[0], at[1], at[2]
    for f in range(begin, end):
        top, left = fields.place[f, 0] * SIDE, fields.place[f, 1] * SIDE
        rows, columns = min(SIDE, height - top), min(SIDE, width - left)
        fine = False
        for i in range(top, top + rows):
            for j in range(left, left + columns):
                fine |= samples.fine[i, j]
        places = samples.many if fine else samples.few
        number = places.shape[0]
        rays_of_field(camera, left, top, places, ways)
        cover_field(
            bodies, instants, at, box, entries, start[f], start[f + 1],
            left, top, number, ways, paths, found, edges,
        )  # fmt: skip
        for i in range(top, top + rows):
            for j in range(left, left + columns):
                first = ((i - top) * SIDE + j - left) * number
                if not fields.wanted[i, j]:
                    continue
                whole = moments == 1 and found[first] >= 0
                for n in range(1, number):
                    whole &= found[first + n] == found[first]
                met = 0
                r = g = b = 0.0
                # Where all samples see one polygon, the middle of the pixel is tried before them.
                for n in range(-1 if whole else 0, number):
                    p = found[first + max(n, 0)]
                    if p < 0:
                        continue
                    if n < 0:
                        dx, dy, dz = ray(camera, j + 0.5, i + 0.5)
                        path = _path_to_plane(bodies, instants[0], p, x, y, z, dx, dy, dz)
                    else:
                        met += 1
                        one, two = _spares(found, light, way, clear, first, n, moments)
                        if one >= 0:
                            way[n], clear[n] = way[one], True
                            for k in range(3):
                                light[n, k] = 0.5 * (light[one, k] + light[two, k])
                            r, g, b = r + light[n, 0], g + light[n, 1], b + light[n, 2]
                            continue
                        path = paths[first + n]
                        dx, dy, dz = ways[first + n, 0], ways[first + n, 1], ways[first + n, 2]
                    growth = (NEAR if n < 0 else WIDE) / camera.focal
                    way[n], clear[n] = followed(
                        bodies, instants[max(n, 0) % moments], lamps, room, body_of[p], p, path,
                        x, y, z, dx, dy, dz, growth, stack, light[n],
                    )  # fmt: skip
                    if n >= 0:
                        r, g, b = r + light[n, 0], g + light[n, 1], b + light[n, 2]
                    elif clear[n]:
                        met = number
                        r, g, b = met * light[n, 0], met * light[n, 1], met * light[n, 2]
                        break
                if met > 0:
                    rest = (number - met) / number
                    if kept.size > 0:
                        kept[i, j] = rest
                    picture[i, j, 0] = picture[i, j, 0] * rest + r / number
                    picture[i, j, 1] = picture[i, j, 1] * rest + g / number
                    picture[i, j, 2] = picture[i, j, 2] * rest + b / number


@kernel
def gaze_all(bodies, turn, lamps, room, origins, directions):
    """Whether many rays meet a body, (n,) bool, and what luminance there, (n, 3) float."""
    met = np.zeros(origins.shape[0], np.bool_)
    seen = np.zeros((origins.shape[0], 3))
    stack = np.empty(DEEPEST, np.int64)
    for i in range(origins.shape[0]):
        o, d = origins[i], directions[i]
        x, y, z, dx, dy, dz = o[0], o[1], o[2], d[0], d[1], d[2]
        body, p, path, _ = nearest_polygon(
            bodies.solid, turn, x, y, z, dx, dy, dz, FAR, NOTHING, NOTHING, 0.0, 0.0, stack
        )
        met[i] = body != NOTHING
        if met[i]:
            followed(
                bodies, turn, lamps, room, body, p, path, x, y, z, dx, dy, dz, 0.0, stack, seen[i]
            )
    return met, seen
