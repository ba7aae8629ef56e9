"""Thin haze in which beams show: light scattered once on its way, from lamp to ball and on.

At a point of a beam the haze sends the eye, per metre, its scattering coefficient times the phase
function of Henyey & Greenstein (1941) times the illuminance across the beam; what it scatters out
of the way is taken off (Beer and Lambert's law). Light scattered twice is left out.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Beams, Flags, Floats, Integers, Lamps
from glint.kernels.camera.haze.beam_bins import beams_in_cells
from glint.kernels.camera.haze.ray_beam_segments import (
    ROWS,
    cones_from,
    crossed,
    in_cone,
    lens_points,
    seen_along,
    shafts_of,
    stretch,
)
from glint.kernels.camera.projection import Camera, ray
from glint.kernels.geometry.bounding_cone import may_meet
from glint.kernels.geometry.bvh import DEEPEST, NOTHING, Bodies, nearest_polygon
from glint.kernels.illuminance.direct_light import lamp_cones
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.sources.lens_illuminance import from_lens_part
from glint.kernels.surfaces.ray_cast import cast

STEP = 5
"""Pixels between the rays along which haze is gathered."""

SAMPLES, LONG = 10, 3.0
"""Points along the part of a ray that lies in a beam, where that is longer than so many radii of
the beam there, as when one looks along it."""

FAINT = 0.005
"""Share of all light in the beams that the faintest of them, together, may leave out."""

_PLACES = np.arange(STEP) / STEP
WEIGHTS = np.stack(
    [
        (1.0 - _PLACES) ** 3,
        4.0 - 6.0 * _PLACES**2 + 3.0 * _PLACES**3,
        1.0 + 3.0 * _PLACES + 3.0 * _PLACES**2 - 3.0 * _PLACES**3,
        _PLACES**3,
    ],
    axis=1,
).astype(np.float32) / np.float32(6.0)
"""Weights of four rays in a row for the pixels between the middle two, (STEP, 4)."""

CELL = 8
"""Rays along the side of a cell, which has its own list of beams."""


@kernel
def phase(cosine, forward):
    """Henyey & Greenstein's phase function, 1/sr; cosine: of the angle that light is turned by."""
    square = forward * forward
    base = 1.0 + square - 2.0 * forward * cosine
    return (1.0 - square) / (4.0 * math.pi * base * math.sqrt(base))


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
        body, _, _, _ = nearest_polygon(
            bodies.solid, turn, px, py, pz, lx, ly, lz, reach, NOTHING, NOTHING, 0.0, 0.0, stack
        )
        if body == NOTHING:
            total += light
    return total


@kernel
def _gather(begin, end, given):
    light, (start, listed), shaded, solid, air, haze = uncounted(given)
    beams, lamps, cones, shafts, points = light
    (bodies, turn), (camera, reach, density, forward) = solid, air
    frame, apex = beams.frame, beams.apex
    across = (haze.shape[1] + CELL - 1) // CELL
    longest = 0
    for cell in range(begin, end):
        longest = max(longest, start[cell + 1] - start[cell])
    near, hit = np.empty((ROWS, longest)), np.empty(longest, np.bool_)
    found, stack = np.empty(longest + 1, np.int64), np.empty(DEEPEST, np.int64)
    eye = camera.at
    x, y, z = eye[0], eye[1], eye[2]
    for cell in range(begin, end):
        top, left = cell // across * CELL, cell % across * CELL
        first, number = start[cell], start[cell + 1] - start[cell]
        cones_from(cones, listed, first, first + number, x, y, z, near)
        for i in range(top, min(top + CELL, haze.shape[0])):
            for j in range(left, min(left + CELL, haze.shape[1])):
                way = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
                dx, dy, dz = way
                far = reach[i, j]
                for n in range(crossed(near, number, dx, dy, dz, hit, found)):
                    b = listed[first + found[n]]
                    bits, one, two = in_cone(cones, b, x, y, z, dx, dy, dz, far)
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
                        enter, leave = stretch(k, one, two, far)
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
                        # Across a beam hardly anything changes but the share of the lens.
                        pieces = SAMPLES if leave - enter > LONG * away * cones[b, 6] else 1
                        step = (leave - enter) / pieces
                        for piece in range(pieces):
                            begun = enter + piece * step
                            seen, t, u, v = seen_along(
                                shafts, points, b, beams.sides[b] + 1, dx, dy, dz,
                                begun, begun + step,
                            )  # fmt: skip
                            qz = ez + t * vz
                            if seen > 0.0 and qz > 0.0:
                                total += step * _scattered(
                                    candela, spread, planes, rim, radius,
                                    ex + t * vx, ey + t * vy, qz, vx, vy, vz, t,
                                    seen / step, radius * u, radius * v, density, forward,
                                )  # fmt: skip
                    total *= density * beams.share[b]
                    for k in range(3):
                        haze[i, j, k] += total * lamps.colour[lamp, k]


@kernel
def _lay_over(first, last, given):
    """The picture dimmed by the haze, and the haze's own light over it."""
    haze, weights, picture, hazy = uncounted(given)
    rows, columns = haze.shape[0], haze.shape[1]
    line = np.empty((columns, 4), np.float32)
    for i in range(first, last):
        top, down = i // STEP, i % STEP
        line[:] = 0.0
        for n in range(4):
            row, weight = min(max(top + n - 1, 0), rows - 1), weights[down, n]
            for j in range(columns):
                for k in range(4):
                    line[j, k] += weight * haze[row, j, k]
        for j in range(picture.shape[1]):
            left, right = j // STEP, j % STEP
            r = g = b = kept = np.float32(0.0)
            for n in range(4):
                column, weight = min(max(left + n - 1, 0), columns - 1), weights[right, n]
                r += weight * line[column, 0]
                g += weight * line[column, 1]
                b += weight * line[column, 2]
                kept += weight * line[column, 3]
            hazy[i, j, 0] = picture[i, j, 0] * kept + r
            hazy[i, j, 1] = picture[i, j, 1] * kept + g
            hazy[i, j, 2] = picture[i, j, 2] * kept + b


@kernel
def _reach_rows(first, last, given):
    bodies, turn, kinds, forms, camera, reach = uncounted(given)
    stack, at = np.empty(DEEPEST, np.int64), camera.at
    x, y, z = at[0], at[1], at[2]
    for i in range(first, last):
        for j in range(reach.shape[1]):
            dx, dy, dz = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
            if dx != 0.0 or dy != 0.0 or dz != 0.0:
                _, far = cast(kinds, forms, x, y, z, dx, dy, dz)
                _, _, reach[i, j], _ = nearest_polygon(
                    bodies.solid, turn, x, y, z, dx, dy, dz, far, NOTHING, NOTHING, 0.0, 0.0, stack
                )


def reach_of(
    bodies: Bodies, turn: Floats, kinds: Integers, forms: Floats, camera: Camera
) -> Floats:
    """How far one sees along the rays by which haze is gathered: (h, w) float, m; 0 where a
    picture has no ray."""
    width, height = (int(side) for side in camera.size)
    reach = np.zeros((height // STEP + 2, width // STEP + 2))
    share_out(len(reach), _reach_rows, (bodies, turn, kinds, forms, camera, reach))
    return reach


def in_front(bodies: Bodies, turn: Floats, cone: Floats, lens: Floats, axis: Floats) -> Flags:
    """Which bodies may stand in a lamp's light: (b,) bool.

    They reach into its cone (8,), and in front of its lens, (3,) and axis (3,): what the lamp
    itself is mounted in does not.
    """
    rotations, centres = turn[:, :9].reshape(-1, 3, 3), turn[:, 9:]
    away = np.einsum("bji,j->bi", rotations, axis)
    ahead = np.einsum("nvk,nk->nv", bodies.corners, away[bodies.body]).max(axis=1, initial=-np.inf)
    highest = np.full(len(centres), -np.inf)
    np.maximum.at(highest, bodies.body, ahead)
    found = highest + (centres - lens) @ axis > 0.0
    for b in np.flatnonzero(found):
        found[b] = may_meet(cone, *centres[b], bodies.radius[b])
    return found


def bright_part(beams: Beams) -> Beams:
    """The beams without the faintest, which together hold FAINT of the light."""
    order = np.argsort(beams.lumens, kind="stable")
    least = np.searchsorted(np.cumsum(beams.lumens[order]), FAINT * beams.lumens.sum())
    kept = np.sort(order[least:])
    return Beams._make(np.ascontiguousarray(column[kept]) for column in beams)


def gathered(
    beams: Beams,
    lamps: Lamps,
    shaded: bool,
    bodies: Bodies,
    turn: Floats,
    reach: Floats,
    camera: Camera,
    density: float,
    forward: float,
) -> Floats:
    """Light that the haze in some beams sends the eye, on a coarse grid of rays.

    shaded: whether bodies may stand in the beams, as in those straight from a lamp; beams from
    tiles have been cut already. reach: (h, w) float, m, see `reach_of`. density: 1/m. forward:
    mean cosine of the angle of scattering.
    Returns (h, w, 4) float: luminance, cd/m**2, linear RGB; and the share of light let through.
    """
    haze = np.zeros((*reach.shape, 4))
    haze[..., 3] = np.exp(-density * reach)
    beams, points = bright_part(beams), lens_points()
    cones, shafts = shafts_of(beams, lamps, points, camera.at)
    solid, air = (bodies, turn), (camera, reach, density, forward)
    if not shaded:
        _add((beams, lamps, cones, shafts, points), False, solid, air, haze)
        return haze
    # A lamp's own window is wider than the lamp shines.
    wide = lamp_cones(lamps)
    for b, lamp in enumerate(beams.lamp):
        cone = wide[lamp]
        some = in_front(bodies, turn, cone, lamps.position[lamp], lamps.frame[lamp, 2])
        few = bodies._replace(solid=bodies.solid._replace(whole=bodies.solid.whole[some]))
        one = Beams._make(column[b : b + 1] for column in beams)
        light = (one, lamps, cone[None], shafts[b : b + 1], points)
        _add(light, True, (few, turn[some]), air, haze)
    return haze


def _add(light, shaded: bool, solid, air, haze: Floats) -> None:
    """Add the haze's light in some beams, see `gathered`."""
    cones, (camera, reach, _, _) = light[2], air
    shape = (-(-reach.shape[0] // CELL), -(-reach.shape[1] // CELL))
    lists = beams_in_cells(cones, camera, reach.max(), shape, CELL * STEP)
    share_out(len(lists[0]) - 1, _gather, (light, lists, shaded, solid, air, haze))


def lay_over(hazes: list[np.ndarray], picture: np.ndarray, hazy: np.ndarray) -> None:
    """Lay the light of several hazes of one density over a picture, (h, w, 3) float32.

    hazy: as picture, written; it may be the picture itself.

    Between its rays the haze is a uniform cubic B-spline (de Boor 1978): straight edges of shafts
    stay straight, where the plain mean of four rays would draw steps.
    """
    total = sum(haze[..., :3] for haze in hazes)
    haze = np.concatenate([total, hazes[0][..., 3:]], axis=2, dtype=np.float32)
    share_out(len(picture), _lay_over, (haze, WEIGHTS, picture, hazy))
