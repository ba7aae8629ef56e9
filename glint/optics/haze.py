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
from glint.optics.land import land
from glint.optics.sight import lens_corners, lens_light, visible_lens
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
    return (1.0 - square) / (4.0 * math.pi * (1.0 + square - 2.0 * forward * cosine) ** 1.5)


@kernel
def in_cone(cone, x, y, z, dx, dy, dz, far, cuts):
    """Where a ray enters and leaves a beam's cone: cuts (4,) float, written, 0 to far in order.

    Returns which of the three stretches between the cuts lie inside, as bits 1, 2 and 4.
    """
    cuts[0], cuts[1], cuts[2], cuts[3] = 0.0, 0.0, 0.0, far
    if cone[6] > 1.0:
        return 4
    x, y, z = x - cone[0], y - cone[1], z - cone[2]
    along = dx * cone[3] + dy * cone[4] + dz * cone[5]
    start = x * cone[3] + y * cone[4] + z * cone[5]
    square = cone[7] * cone[7]
    a = along * along - square
    b = along * start - square * (x * dx + y * dy + z * dz)
    c = start * start - square * (x * x + y * y + z * z)
    under = b * b - a * c
    if under > 0.0 and a != 0.0:
        root = math.sqrt(under)
        first, second = (-b - root) / a, (-b + root) / a
        cuts[1] = min(max(min(first, second), 0.0), far)
        cuts[2] = min(max(max(first, second), 0.0), far)
    bits = 0
    for k in range(3):
        if cuts[k + 1] > cuts[k]:
            t = 0.5 * (cuts[k] + cuts[k + 1])
            ahead = start + t * along
            if ahead > 0.0 and a * t * t + 2.0 * b * t + c >= 0.0:
                bits += 1 << k
    return bits


@kernel
def _from(apex, eye, way, t):
    """From a lens to a point of a ray."""
    return (
        eye[0] + t * way[0] - apex[0],
        eye[1] + t * way[1] - apex[1],
        eye[2] + t * way[2] - apex[2],
    )


@kernel
def _through(
    beams,
    lamps,
    b,
    cone,
    corners,
    density,
    forward,
    shaded,
    bodies,
    turn,
    eye,
    way,
    near,
    far,
    stack,
    xs,
    ys,
):
    """Luminance per scattering coefficient of the part of a ray that lies in a beam's cone.

    way: direction (3). near, far: m, along the ray.
    """
    lamp, frame, apex = beams.lamp[b], beams.frame[b], beams.apex[b]
    dx, dy, dz = way
    half = 0.5 * (near + far)
    away = math.sqrt(
        (eye[0] + half * dx - cone[0]) ** 2
        + (eye[1] + half * dy - cone[1]) ** 2
        + (eye[2] + half * dz - cone[2]) ** 2
    )
    # Across a beam the share of the lens changes, hardly anything else: one look at the lamp does.
    pieces = SAMPLES if shaded or far - near > LONG * away * cone[6] else 1
    looks = 1 if pieces > 1 else ACROSS
    step = (far - near) / pieces
    total = 0.0
    for piece in range(pieces):
        part = u = v = 0.0
        for n in range(looks):
            t = near + (piece + (n + 0.5) / looks) * step
            lx, ly, lz = _from(apex, eye, way, t)
            qx = frame[0, 0] * lx + frame[0, 1] * ly + frame[0, 2] * lz
            qy = frame[1, 0] * lx + frame[1, 1] * ly + frame[1, 2] * lz
            qz = frame[2, 0] * lx + frame[2, 1] * ly + frame[2, 2] * lz
            if qz <= 0.0:
                continue
            share, x, y = visible_lens(
                qx,
                qy,
                qz,
                corners[b],
                beams.sides[b],
                lamps.lens_radius[lamp],
                lamps.sphere[lamp],
                xs,
                ys,
            )
            part, u, v = part + share, u + share * x, v + share * y
        if part <= 0.0:
            continue
        u, v, part = u / part, v / part, part / looks
        t = near + (piece + 0.5) * step
        lx, ly, lz = _from(apex, eye, way, t)
        qx = frame[0, 0] * lx + frame[0, 1] * ly + frame[0, 2] * lz
        qy = frame[1, 0] * lx + frame[1, 1] * ly + frame[1, 2] * lz
        qz = frame[2, 0] * lx + frame[2, 1] * ly + frame[2, 2] * lz
        if qz <= 0.0:
            continue
        path = math.sqrt(lx * lx + ly * ly + lz * lz)
        lx, ly, lz = -lx / path, -ly / path, -lz / path
        if shaded:
            reach = 0.999 * path
            px, py, pz = eye[0] + t * dx, eye[1] + t * dy, eye[2] + t * dz
            body, _, _ = nearest_polygon(
                bodies, turn, px, py, pz, lx, ly, lz, reach, NOTHING, stack
            )
            if body != NOTHING:
                continue
        lux = lens_light(lamps, lamp, frame, qx, qy, qz, lx, ly, lz, part, u, v)
        turned = lx * dx + ly * dy + lz * dz
        total += lux * phase(turned, forward) * math.exp(-density * (t + path)) * step
    return total


@kernel
def _gather(begin, end, given):
    light, solid, camera, density, forward, haze = borrowed(given)
    beams, lamps, cones, corners, lists, shaded = light
    bodies, turn, kinds, forms = solid
    across = (haze.shape[1] + CELL - 1) // CELL
    for cell in range(begin, end):
        stack, cuts = np.empty(DEEPEST, np.int64), np.empty(4)
        xs, ys = np.empty(MOST_CORNERS), np.empty(MOST_CORNERS)
        eye = camera.at
        top, left = cell // across * CELL, cell % across * CELL
        for i in range(top, min(top + CELL, haze.shape[0])):
            for j in range(left, min(left + CELL, haze.shape[1])):
                way = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
                dx, dy, dz = way
                haze[i, j, 3] = 1.0
                if dx == 0.0 and dy == 0.0 and dz == 0.0:
                    continue
                _, far = land(kinds, forms, eye[0], eye[1], eye[2], dx, dy, dz)
                _, _, far = nearest_polygon(
                    bodies, turn, eye[0], eye[1], eye[2], dx, dy, dz, far, NOTHING, stack
                )
                haze[i, j, 3] = math.exp(-density * far)
                for n in range(lists[0][cell], lists[0][cell + 1]):
                    b = lists[1][n]
                    bits = in_cone(cones[b], eye[0], eye[1], eye[2], dx, dy, dz, far, cuts)
                    total = 0.0
                    for k in range(3):
                        if bits & (1 << k):
                            total += _through(
                                beams,
                                lamps,
                                b,
                                cones[b],
                                corners,
                                density,
                                forward,
                                shaded,
                                bodies,
                                turn,
                                eye,
                                way,
                                cuts[k],
                                cuts[k + 1],
                                stack,
                                xs,
                                ys,
                            )
                    total *= density * beams.share[b]
                    for k in range(3):
                        haze[i, j, k] += total * lamps.colour[beams.lamp[b], k]


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
