"""Thin haze in which beams show: light scattered once on its way, from lamp to ball and on.

At a point of a beam the haze sends the eye, per metre, its scattering coefficient times the phase
function of Henyey & Greenstein (1941) times the illuminance across the beam; what it scatters out
of the way is taken off (Beer and Lambert's law). Light scattered twice is left out.
"""

from __future__ import annotations

import math

import numpy as np

from glint.optics.arrays import MOST_CORNERS, Beams, Lamps
from glint.optics.bodies import DEEPEST, NOTHING, nearest_polygon
from glint.optics.borrow import borrowed
from glint.optics.camera import ray
from glint.optics.cells import beams_in_cells
from glint.optics.compile import kernel
from glint.optics.cone import bounding_cone
from glint.optics.illuminance import from_lens_part
from glint.optics.land import land
from glint.optics.sight import lens_corners, visible_lens
from glint.optics.spill import lamp_cones
from glint.optics.threads import share_out

STEP = 5
"""Pixels between the rays along which haze is gathered."""

SAMPLES, LONG = 10, 3.0
"""Points along the part of a ray that lies in a beam, where that is longer than so many radii of
the beam there, as when one looks along it."""

ACROSS = 4
"""Points at which else the share of the lens is looked at."""

FAINT = 0.005
"""Share of all light in the beams that the faintest of them, together, may leave out."""

CELL = 8
"""Rays along the side of a cell, which has its own list of beams."""


@kernel
def phase(cosine, forward):
    """Henyey & Greenstein's phase function, 1/sr; cosine: of the angle that light is turned by."""
    square = forward * forward
    base = 1.0 + square - 2.0 * forward * cosine
    return (1.0 - square) / (4.0 * math.pi * base * math.sqrt(base))


@kernel
def in_cone(cones, b, x, y, z, dx, dy, dz, far):
    """Where a ray enters and leaves a beam's cone: two cuts between 0 and far, m, in order, after
    which of the three stretches between 0, the cuts and far lie inside, as bits 1, 2 and 4.

    cones: (b, 8) float, see `cone`.
    """
    if cones[b, 6] > 1.0:
        return 4, 0.0, 0.0
    ax, ay, az = cones[b, 3], cones[b, 4], cones[b, 5]
    x, y, z = x - cones[b, 0], y - cones[b, 1], z - cones[b, 2]
    square = cones[b, 7] * cones[b, 7]
    along = dx * ax + dy * ay + dz * az
    start = x * ax + y * ay + z * az
    a_ = along * along - square
    b_ = along * start - square * (x * dx + y * dy + z * dz)
    c_ = start * start - square * (x * x + y * y + z * z)
    under = b_ * b_ - a_ * c_
    if under <= 0.0 and a_ < 0.0:
        return 0, 0.0, 0.0  # most rays: past the cone, and not along it
    first = second = 0.0
    if under > 0.0 and a_ != 0.0:
        root = math.sqrt(under)
        first, second = (-b_ - root) / a_, (-b_ + root) / a_
        first, second = min(first, second), max(first, second)
        first, second = min(max(first, 0.0), far), min(max(second, 0.0), far)
    bits = 0
    for k in range(3):
        begin = 0.0 if k == 0 else (first if k == 1 else second)
        end = first if k == 0 else (second if k == 1 else far)
        if end > begin:
            t = 0.5 * (begin + end)
            if start + t * along > 0.0 and a_ * t * t + 2.0 * b_ * t + c_ >= 0.0:
                bits += 1 << k
    return bits, first, second


@kernel
def _scattered(
    candela, spread, planes, end, radius, qx, qy, qz, vx, vy, vz, t, part, u, v, density, forward
):
    """Luminance per metre and scattering coefficient at a point of a ray that a lens lights.

    candela to radius: the lamp's rows of Lamps. (qx, qy, qz): the point, (vx, vy, vz): the ray's
    direction, in the lens frame. t: m, from the eye. part, u, v: what the point sees of the lens.
    """
    path = math.sqrt(qx * qx + qy * qy + qz * qz)
    nx, ny, nz = -qx / path, -qy / path, -qz / path
    lux = from_lens_part(candela, spread, planes, end, radius, qx, qy, qz, nx, ny, nz, part, u, v)
    turned = nx * vx + ny * vy + nz * vz
    return lux * phase(turned, forward) * math.exp(-density * (t + path))


@kernel
def _through(
    candela, spread, planes, end, radius, corners, count, ex, ey, ez, vx, vy, vz,
    near, far, pieces, density, forward, xs, ys,
):  # fmt: skip
    """Luminance per scattering coefficient of the part of a ray that lies in a beam.

    corners: (MOST_CORNERS, 3) float, m, the beam's window, and (ex, ey, ez): the eye, in the lens
    frame; the rest as in `_scattered`. near, far: m, along the ray.
    """
    # Across a beam the share of the lens changes, hardly anything else: one look at the lamp does.
    looks = 1 if pieces > 1 else ACROSS
    step = (far - near) / pieces
    total = 0.0
    for piece in range(pieces):
        part = u = v = 0.0
        for n in range(looks):
            t = near + (piece + (n + 0.5) / looks) * step
            qx, qy, qz = ex + t * vx, ey + t * vy, ez + t * vz
            if qz <= 0.0:
                continue
            share, x, y = visible_lens(qx, qy, qz, corners, count, radius, xs, ys)
            part, u, v = part + share, u + share * x, v + share * y
        t = near + (piece + 0.5) * step
        qx, qy, qz = ex + t * vx, ey + t * vy, ez + t * vz
        if part > 0.0 and qz > 0.0:
            u, v, part = u / part, v / part, part / looks
            total += step * _scattered(
                candela, spread, planes, end, radius, qx, qy, qz, vx, vy, vz, t, part, u, v,
                density, forward,
            )  # fmt: skip
    return total


@kernel
def _past_bodies(
    candela, spread, planes, end, radius, ex, ey, ez, vx, vy, vz, near, far,
    density, forward, bodies, turn, eye, lens, way, stack,
):  # fmt: skip
    """The same of a ray in a lamp's own light, of which points see all of the lens or nothing."""
    step = (far - near) / SAMPLES
    total = 0.0
    for piece in range(SAMPLES):
        t = near + (piece + 0.5) * step
        qx, qy, qz = ex + t * vx, ey + t * vy, ez + t * vz
        if qz <= 0.0:
            continue
        light = step * _scattered(
            candela, spread, planes, end, radius, qx, qy, qz, vx, vy, vz, t, 1.0, 0.0, 0.0,
            density, forward,
        )  # fmt: skip
        if light <= 0.0:
            continue
        px, py, pz = eye[0] + t * way[0], eye[1] + t * way[1], eye[2] + t * way[2]
        lx, ly, lz = lens[0] - px, lens[1] - py, lens[2] - pz
        path = math.sqrt(lx * lx + ly * ly + lz * lz)
        lx, ly, lz = lx / path, ly / path, lz / path
        reach = 0.999 * path
        body, _, _ = nearest_polygon(bodies, turn, px, py, pz, lx, ly, lz, reach, NOTHING, stack)
        if body == NOTHING:
            total += light
    return total


@kernel
def _gather(begin, end, given):
    light, solid, camera, density, forward, haze = borrowed(given)
    beams, lamps, cones, corners, (start, listed), shaded = light
    bodies, turn, kinds, forms = solid
    frame, apex = beams.frame, beams.apex
    across = (haze.shape[1] + CELL - 1) // CELL
    stack = np.empty(DEEPEST, np.int64)
    xs, ys = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS)
    eye = camera.at
    x, y, z = eye[0], eye[1], eye[2]
    for cell in range(begin, end):
        top, left = cell // across * CELL, cell % across * CELL
        for i in range(top, min(top + CELL, haze.shape[0])):
            for j in range(left, min(left + CELL, haze.shape[1])):
                way = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
                dx, dy, dz = way
                haze[i, j, 3] = 1.0
                if dx == 0.0 and dy == 0.0 and dz == 0.0:
                    continue
                _, far = land(kinds, forms, x, y, z, dx, dy, dz)
                _, _, far = nearest_polygon(bodies, turn, x, y, z, dx, dy, dz, far, NOTHING, stack)
                haze[i, j, 3] = math.exp(-density * far)
                for n in range(start[cell], start[cell + 1]):
                    b = listed[n]
                    bits, first, second = in_cone(cones, b, x, y, z, dx, dy, dz, far)
                    if bits == 0:
                        continue
                    # All in the lens frame, where turned vectors keep their length.
                    ox, oy, oz = x - apex[b, 0], y - apex[b, 1], z - apex[b, 2]
                    ex = frame[b, 0, 0] * ox + frame[b, 0, 1] * oy + frame[b, 0, 2] * oz
                    ey = frame[b, 1, 0] * ox + frame[b, 1, 1] * oy + frame[b, 1, 2] * oz
                    ez = frame[b, 2, 0] * ox + frame[b, 2, 1] * oy + frame[b, 2, 2] * oz
                    vx = frame[b, 0, 0] * dx + frame[b, 0, 1] * dy + frame[b, 0, 2] * dz
                    vy = frame[b, 1, 0] * dx + frame[b, 1, 1] * dy + frame[b, 1, 2] * dz
                    vz = frame[b, 2, 0] * dx + frame[b, 2, 1] * dy + frame[b, 2, 2] * dz
                    lamp = beams.lamp[b]
                    candela, spread = lamps.candela[lamp], lamps.spread[lamp]
                    planes, rim, radius = (
                        lamps.planes[lamp], lamps.sine_end[lamp], lamps.lens_radius[lamp],
                    )  # fmt: skip
                    total = 0.0
                    for k in range(3):
                        if not bits & (1 << k):
                            continue
                        enter = 0.0 if k == 0 else (first if k == 1 else second)
                        leave = first if k == 0 else (second if k == 1 else far)
                        if shaded:
                            total += _past_bodies(
                                candela, spread, planes, rim, radius, ex, ey, ez, vx, vy, vz,
                                enter, leave, density, forward, bodies, turn, eye,
                                apex[b], way, stack,
                            )  # fmt: skip
                            continue
                        half = 0.5 * (enter + leave)
                        away = math.sqrt(
                            (x + half * dx - cones[b, 0]) ** 2
                            + (y + half * dy - cones[b, 1]) ** 2
                            + (z + half * dz - cones[b, 2]) ** 2
                        )
                        along = leave - enter > LONG * away * cones[b, 6]
                        total += _through(
                            candela, spread, planes, rim, radius, corners[b], beams.sides[b],
                            ex, ey, ez, vx, vy, vz, enter, leave, SAMPLES if along else 1,
                            density, forward, xs, ys,
                        )  # fmt: skip
                    total *= density * beams.share[b]
                    for k in range(3):
                        haze[i, j, k] += total * lamps.colour[lamp, k]


@kernel
def _lay_over(first, last, given):
    """The picture dimmed by the haze, and the haze's own light over it."""
    haze, picture = borrowed(given)
    for i in range(first, last):
        top = i // STEP
        y = (i - top * STEP) / STEP
        for j in range(picture.shape[1]):
            left = j // STEP
            x = (j - left * STEP) / STEP
            wa, wb, wc, wd = (1.0 - x) * (1.0 - y), x * (1.0 - y), (1.0 - x) * y, x * y
            a, b = haze[top, left], haze[top, left + 1]
            c, d = haze[top + 1, left], haze[top + 1, left + 1]
            kept = wa * a[3] + wb * b[3] + wc * c[3] + wd * d[3]
            for k in range(3):
                added = wa * a[k] + wb * b[k] + wc * c[k] + wd * d[k]
                picture[i, j, k] = picture[i, j, k] * kept + added


@kernel
def _farthest(camera, kinds, forms):
    """How far away the room's surfaces are seen at most, m."""
    found = 0.0
    for y in range(0, camera.size[1] + 2 * STEP, STEP):
        for x in range(0, camera.size[0] + 2 * STEP, STEP):
            dx, dy, dz = ray(camera, x + 0.5, y + 0.5)
            if dx != 0.0 or dy != 0.0 or dz != 0.0:
                at = camera.at
                found = max(found, land(kinds, forms, at[0], at[1], at[2], dx, dy, dz)[1])
    return found


@kernel
def _cones_and_corners(beams, lamps):
    number = beams.lamp.shape[0]
    cones, corners = np.zeros((number, 8)), np.zeros((number, MOST_CORNERS, 3))
    for b in range(number):
        radius = lamps.lens_radius[beams.lamp[b]]
        bounding_cone(beams.apex[b], radius, beams.window[b], beams.sides[b], cones[b])
        lens_corners(beams.apex[b], beams.frame[b], beams.window[b], beams.sides[b], corners[b])
    return cones, corners


def bright_part(beams: Beams) -> Beams:
    """The beams without the faintest, which together hold FAINT of the light."""
    order = np.argsort(beams.lumens, kind="stable")
    least = np.searchsorted(np.cumsum(beams.lumens[order]), FAINT * beams.lumens.sum())
    kept = np.sort(order[least:])
    return Beams._make(np.ascontiguousarray(column[kept]) for column in beams)


def gathered(
    beams: Beams, lamps: Lamps, shaded: bool, bodies, turn, kinds, forms, camera, density, forward
) -> np.ndarray:
    """Light that the haze in some beams sends the eye, on a coarse grid of rays.

    shaded: whether bodies may stand in the beams, as in those straight from a lamp; beams from
    tiles have been cut already. density: 1/m. forward: mean cosine of the angle of scattering.
    Returns (h, w, 4) float: luminance, cd/m**2, linear RGB; and the share of light let through.
    """
    width, height = (int(side) for side in camera.size)
    haze = np.zeros((height // STEP + 2, width // STEP + 2, 4))
    beams = bright_part(beams)
    cones, corners = _cones_and_corners(beams, lamps)
    if shaded:  # a lamp's own window is wider than the lamp shines
        cones = lamp_cones(lamps)[beams.lamp]
    shape = (-(-haze.shape[0] // CELL), -(-haze.shape[1] // CELL))
    lists = beams_in_cells(cones, camera, _farthest(camera, kinds, forms), shape, CELL * STEP)
    light, solid = (beams, lamps, cones, corners, lists, shaded), (bodies, turn, kinds, forms)
    given = (light, solid, camera, density, forward, haze)
    share_out(len(lists[0]) - 1, _gather, given)
    return haze


def lay_over(hazes: list[np.ndarray], picture: np.ndarray) -> None:
    """Lay the light of several hazes of one density over a picture (h, w, 3) float32, in place."""
    total = sum(haze[..., :3] for haze in hazes)
    haze = np.concatenate([total, hazes[0][..., 3:]], axis=2)
    share_out(len(picture), _lay_over, (haze, picture))
