"""What a ray from the eye sees: mirrors that show mirrors, panels, and in the end the room."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats
from glint.optics.bodies import (
    DEEPEST,
    NOTHING,
    nearest_polygon,
    passes_inside,
    turned_normal,
)
from glint.optics.borrow import borrowed
from glint.optics.camera import ray
from glint.optics.compile import inlined, kernel
from glint.optics.land import FAR, chart_place, land
from glint.optics.roomlight import luminance_at
from glint.optics.sight import lens_light
from glint.optics.threads import share_out

SMOOTH = 0.1
"""Where the first half of a pixel's samples differ by less than this share, the rest are spared."""

LEAST = 4
"""Samples that are never spared: two miss edges thinner than a pixel, which then are dotted lines
that crawl as the ball turns."""

REFLECTIONS = 4
"""Most mirrors that a ray from the eye is followed over."""

LIFT = 1e-7
"""A ray starts again this far off the surface that it left, m."""


class Samples(NamedTuple):
    """Places in a pixel, 0..1, that rays go through.

    few: (n, 2) float, of most pixels; many: (m, 2) float, of those marked in `fine`, (h, w) bool,
    where something small may shine
    """

    few: Floats
    many: Floats
    fine: Flags


@kernel
def lit_by_lamps(bodies, turn, lamps, x, y, z, nx, ny, nz, stack, light):
    """Add the lamps' direct light at a point of a body, with shadows taken from the lens centre.

    light: (3,) float, lx, changed in place.
    """
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
        body, _, _ = nearest_polygon(
            bodies,
            turn,
            x + LIFT * nx,
            y + LIFT * ny,
            z + LIFT * nz,
            ux,
            uy,
            uz,
            far * (1.0 - 1e-3),
            NOTHING,
            stack,
        )
        if body == NOTHING:
            for k in range(3):
                light[k] += value * lamps.colour[lamp, k]


@inlined
def gaze(bodies, turn, lamps, room, x, y, z, dx, dy, dz, stack, light):
    """Luminance along a ray, cd/m**2. light: (3,) float, linear RGB, written.

    Returns whether the ray met a body at all; where it did not, light is not worked out. The
    lamps' lenses are left out: a ray would find them by luck only (see `flash`).
    """
    share, behind = 1.0, NOTHING
    for bounce in range(REFLECTIONS + 1):
        body, polygon, path = nearest_polygon(bodies, turn, x, y, z, dx, dy, dz, FAR, behind, stack)
        if body == NOTHING:
            if bounce == 0:
                return False
            s, path = land(room.kinds, room.forms, x, y, z, dx, dy, dz)
            across, up = chart_place(
                room.kinds[s], room.forms[s], x + path * dx, y + path * dy, z + path * dz
            )
            r, g, b = luminance_at(room, s, across, up)
            light[0], light[1], light[2] = share * r, share * g, share * b
            return True
        nx, ny, nz = turned_normal(bodies, turn, body, polygon)
        x, y, z = x + path * dx, y + path * dy, z + path * dz
        fall = dx * nx + dy * ny + dz * nz
        if (
            bodies.depth[polygon] >= 0.0
            and fall < 0.0
            and passes_inside(bodies, turn, body, polygon, x, y, z, dx, dy, dz, fall)
        ):
            for k in range(3):
                light[k] = share * bodies.luminance[body, k]
            return True
        if not bodies.mirror[polygon] or fall > 0.0:
            if fall > 0.0:
                nx, ny, nz = -nx, -ny, -nz
            for k in range(3):
                light[k] = room.ambient[k]
            lit_by_lamps(bodies, turn, lamps, x, y, z, nx, ny, nz, stack, light)
            for k in range(3):
                light[k] *= share * bodies.paint[polygon, k] / math.pi
            return True
        behind = body if bodies.convex[body] else NOTHING
        share *= bodies.reflectance[polygon]
        dx, dy, dz = dx - 2.0 * fall * nx, dy - 2.0 * fall * ny, dz - 2.0 * fall * nz
        x, y, z = x + LIFT * nx, y + LIFT * ny, z + LIFT * nz
    for k in range(3):
        # Mirrors without end, as in a corner: what the room's ambient would give.
        light[k] = share * room.ambient[k] / math.pi
    return True


def draw_bodies(bodies, instants, lamps, room, camera, spans, samples, picture, kept):
    """Draw the bodies over the room's picture, each pixel by the mean of fixed samples,
    of half of them where those are much alike.

    instants: (m, b, 12) float, where the bodies stand while the shutter is open; samples take them
        in turn, which streaks what moves (Cook, Porter & Carpenter 1984).
    spans: (k, 3) int, row and first and last column + 1 of stretches of pixels, none twice.
    picture: (h, w, 3) float32, changed in place.
    kept: (h, w) float32, written where bodies are met: the share of the pixel that they leave;
        or of no size where nobody asks.
    """
    given = (bodies, instants, lamps, room, camera, spans, samples, picture, kept)
    share_out(len(spans), _draw_spans, given)


@kernel
def _draw_spans(begin, end, given):
    bodies, instants, lamps, room, camera, spans, samples, picture, kept = borrowed(given)
    for k in range(begin, end):
        stack, light = np.empty(DEEPEST, np.int64), np.empty(3)
        i = spans[k, 0]
        for j in range(spans[k, 1], spans[k, 2]):
            met, taken, r, g, b = 0, 0, 0.0, 0.0, 0.0
            least, most = math.inf, 0.0
            fine = samples.fine[i, j]
            places = samples.many if fine else samples.few
            number = places.shape[0]
            for n in range(number):
                alike = met in (0, n) and most - least <= SMOOTH * most
                if 2 * n == number and n >= LEAST and alike and not fine:
                    break
                taken += 1
                dx, dy, dz = ray(camera, j + places[n, 0], i + places[n, 1])
                if dx == 0.0 and dy == 0.0 and dz == 0.0:
                    continue
                at, turn = camera.at, instants[n % instants.shape[0]]
                if gaze(bodies, turn, lamps, room, at[0], at[1], at[2], dx, dy, dz, stack, light):
                    met += 1
                    r, g, b = r + light[0], g + light[1], b + light[2]
                    value = light[0] + light[1] + light[2]
                    least, most = min(least, value), max(most, value)
            if met > 0:
                rest = (taken - met) / taken
                if kept.size > 0:
                    kept[i, j] = rest
                picture[i, j, 0] = picture[i, j, 0] * rest + r / taken
                picture[i, j, 1] = picture[i, j, 1] * rest + g / taken
                picture[i, j, 2] = picture[i, j, 2] * rest + b / taken


@kernel
def gaze_all(bodies, turn, lamps, room, origins, directions):
    """`gaze` along many rays: met (n,) bool and luminance (n, 3) float."""
    met = np.zeros(origins.shape[0], np.bool_)
    seen = np.zeros((origins.shape[0], 3))
    stack = np.empty(DEEPEST, np.int64)
    for i in range(origins.shape[0]):
        o, d = origins[i], directions[i]
        met[i] = gaze(bodies, turn, lamps, room, o[0], o[1], o[2], d[0], d[1], d[2], stack, seen[i])
    return met, seen
