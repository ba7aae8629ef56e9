"""What a single point sees of a lens through a window, and the light that it gets from there.

The light maps do the same for many points at a time (`penumbra`); an eye is one point only.
"""

from __future__ import annotations

import math

from glint.kernels.geometry.disc_clipping import arcs, chord
from glint.kernels.runtime.jit import kernel
from glint.kernels.sources.lens_illuminance import from_lens_part
from glint.kernels.sources.spherical_source import drawn_in, drawn_out


@kernel
def uncovered(xs, ys, count, radius):
    """Share of a disc that lies inside a convex polygon, and the centroid of that part.

    xs, ys: (>= count,) float, corners in either sense of rotation; the disc is centred at the
    origin. Returns (share 0..1, x, y). Area and moments are those of the triangles from the
    centre to each chord and of the sectors between chords (Green's theorem); the sectors' angles
    need one arc tangent together. Polygon inside the disc and disc inside the polygon need none.
    """
    square = radius * radius
    within = 0
    turn = 0.0
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        if xs[i] * xs[i] + ys[i] * ys[i] <= square:
            within += 1
        turn += xs[i] * ys[j] - ys[i] * xs[j]
    sense = 1.0 if turn > 0.0 else -1.0
    centre_inside = True
    if within < count:
        disc_inside = True
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            dx, dy = xs[j] - xs[i], ys[j] - ys[i]
            cross = sense * (xs[i] * ys[j] - ys[i] * xs[j])
            far = cross * cross >= square * (dx * dx + dy * dy)
            if cross < 0.0:
                if far:
                    return 0.0, 0.0, 0.0
                centre_inside = False
                disc_inside = False
            elif not far:
                disc_inside = False
        if disc_inside:
            return 1.0, 0.0, 0.0
    total = mx = my = 0.0
    rim_x = rim_y = 0.0
    re, im = 1.0, 0.0
    crossed = False
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        met, px, py, qx, qy, enters, leaves = chord(xs[i], ys[i], xs[j], ys[j], square)
        if not met:
            continue
        cross = px * qy - py * qx
        total += cross
        mx += cross * (px + qx)
        my += cross * (py + qy)
        if enters:
            crossed = True
            re, im = (re * px - im * py) / radius, (re * py + im * px) / radius
            rim_x, rim_y = rim_x + px, rim_y + py
        if leaves:
            crossed = True
            re, im = (re * qx + im * qy) / radius, (im * qx - re * qy) / radius
            rim_x, rim_y = rim_x - qx, rim_y - qy
    total, mx, my = 0.5 * sense * total, sense * mx / 6.0, sense * my / 6.0
    if crossed:
        # Run the other way round, a boundary enters where it left: the angle changes its sign.
        total += 0.5 * square * arcs(re, sense * im)
        mx += sense * square * rim_y / 3.0
        my -= sense * square * rim_x / 3.0
    elif within == 0:
        return (1.0, 0.0, 0.0) if centre_inside else (0.0, 0.0, 0.0)
    if total <= 1e-12 * square:
        return 0.0, 0.0, 0.0
    return min(total / (math.pi * square), 1.0), mx / total, my / total


@kernel
def lens_corners(apex, frame, window, count, corners):
    """The window in the (mirrored) lens frame. corners: (MOST_CORNERS, 3) float, written."""
    for i in range(count):
        dx, dy, dz = window[i, 0] - apex[0], window[i, 1] - apex[1], window[i, 2] - apex[2]
        for k in range(3):
            corners[i, k] = frame[k, 0] * dx + frame[k, 1] * dy + frame[k, 2] * dz


@kernel
def visible_lens(px, py, pz, corners, count, radius, sphere, xs, ys):
    """Share of the lens that a point (in the lens frame) sees through the window, and centroid.

    xs, ys: (>= count,) float, written: the window as projected onto the lens plane, and drawn in
    there if the lens is a sphere (see `outlook`); the centroid is on the plane as it is. A point
    nearer to the lens plane than a corner of the window is beside the window, not beyond it, and
    sees nothing: true everywhere but within a window's width of the window itself.
    """
    for i in range(count):
        if pz <= corners[i, 2] * (1.0 + 1e-9):
            return 0.0, 0.0, 0.0
        scale = 1.0 / (pz - corners[i, 2])
        xs[i] = (corners[i, 0] * pz - px * corners[i, 2]) * scale
        ys[i] = (corners[i, 1] * pz - py * corners[i, 2]) * scale
    draw = drawn_in(sphere, px, py, pz)
    for i in range(count):
        pull = draw * (xs[i] * px + ys[i] * py)
        xs[i] -= pull * px
        ys[i] -= pull * py
    part, x, y = uncovered(xs, ys, count, radius)
    if part <= 0.0:
        return part, x, y
    draw = drawn_out(sphere, px, py, pz) * (x * px + y * py)
    return part, x + draw * px, y + draw * py


@kernel
def lens_light(lamps, lamp, frame, px, py, pz, nx, ny, nz, part, sx, sy):
    """Illuminance, lx, from a part of a lens at a point of the lens frame.

    (nx, ny, nz): the normal there, in the room's frame; the rest as in `from_lens_part`.
    """
    return from_lens_part(
        lamps.candela[lamp],
        lamps.spread[lamp],
        lamps.planes[lamp],
        lamps.sine_end[lamp],
        lamps.lens_radius[lamp],
        px,
        py,
        pz,
        frame[0, 0] * nx + frame[0, 1] * ny + frame[0, 2] * nz,
        frame[1, 0] * nx + frame[1, 1] * ny + frame[1, 2] * nz,
        frame[2, 0] * nx + frame[2, 1] * ny + frame[2, 2] * nz,
        part,
        sx,
        sy,
    )
