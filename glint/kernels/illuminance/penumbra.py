"""Illuminance through one quad at many points at once, with the penumbra of the round lens.

How much of the lens a point sees is the area of the quad, projected from the point onto the lens
plane, in common with the lens. Area and moments are those of the triangles from the lens centre to
the quad's edges inside the rim, and of the sectors between those (Green's theorem). Here they are
computed in units of the lens radius and without branches, so that a processor takes several points
in one step. Places in arrays are told by numbers without a sign there: one that might be below zero
counts from the end, and has to be looked at by itself.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.geometry.disc_clipping import GRAZING, angle_of
from glint.kernels.runtime.jit import contracted, folded, kernel
from glint.kernels.sources.luminous_intensity import looked_up
from glint.kernels.sources.spherical_source import drawn_in, drawn_out

MANY = 160
"""Most points at once."""

STEP = 8
"""A divisor of MANY, and a multiple of the points that a processor takes at once."""

SMALLEST_LENS = 1e-9
"""A point source is a lens of this radius, m."""


ROWS = 12
"""Rows of the workplace, an array (ROWS, MANY) float: 0 to 5, place (m) and normal of each point in
the (mirrored) lens frame. 6 to 10, about the part of the lens that it sees: the way from its middle
across the axis (x and y), the sine of half the angle to the axis, the square of its angular radius,
and part cos / d**2. 11, the illuminance, lx, which comes out."""

LUX = 11


@kernel
def workplace():
    """Room for MANY points."""
    return np.zeros((ROWS, MANY))


@contracted
def _into_frame(work, points, chosen, number, apex, frame):
    """Put chosen points, with their normals, in the first `number` places of a workplace.

    points: (7 or more, p) float, m, points in rows 0 to 2 and unit normals in rows 4 to 6, in the
    room's frame; chosen: (number or more,) int, which of them; apex (3,), frame (3, 3): of the
    (mirrored) lens.
    """
    ax, ay, az = apex[0], apex[1], apex[2]
    xx, xy, xz = frame[0, 0], frame[0, 1], frame[0, 2]
    yx, yy, yz = frame[1, 0], frame[1, 1], frame[1, 2]
    zx, zy, zz = frame[2, 0], frame[2, 1], frame[2, 2]
    px, py, pz, nx, ny, nz = work[0], work[1], work[2], work[3], work[4], work[5]
    gx, gy, gz, gu, gv, gw = points[0], points[1], points[2], points[4], points[5], points[6]
    for t in range(number):
        p = np.uint64(chosen[t])
        x, y, z, u, v, w = gx[p] - ax, gy[p] - ay, gz[p] - az, gu[p], gv[p], gw[p]
        px[t] = xx * x + xy * y + xz * z
        py[t] = yx * x + yy * y + yz * z
        pz[t] = zx * x + zy * y + zz * z
        nx[t] = xx * u + xy * v + xz * w
        ny[t] = yx * u + yy * v + yz * w
        nz[t] = zx * u + zy * v + zz * w


@folded
def _edge(ax, ay, a_out, bx, by, b_out, area, mx, my, re, im, crossings, turn, least):
    """Add one projected edge, from a to b, to what a quad has in common with the lens.

    a_out, b_out: whether the ends lie beyond the rim.
    """
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = ax * dx + ay * dy
    # By differences, so that an edge without length has exactly none.
    cross = ax * dy - ay * dx
    root = square - cross * cross
    half = math.sqrt(root if root > 0.0 else 0.0)
    whole = 1.0 / (square + 1e-300)
    start = (-along - half) * whole if a_out else 0.0
    end = (-along + half) * whole if b_out else 1.0
    apart = (along >= 0.0) | (along <= -square) | (root <= GRAZING * square)
    met = 0.0 if a_out & b_out & apart else 1.0
    enters = met if a_out else 0.0
    leaves = met if b_out else 0.0
    px, py, qx, qy = ax + start * dx, ay + start * dy, ax + end * dx, ay + end * dy
    part = (px * qy - py * qx) * met
    # Where the rim is crossed: 1 stands for no point, and turns nothing.
    ex, ey, lx, ly = px * enters, py * enters, qx * leaves, qy * leaves
    ur, ui = ex + (1.0 - enters), ey
    vr, vi = lx + (1.0 - leaves), ly
    wr, wi = ur * vr + ui * vi, ui * vr - ur * vi
    return (
        area + part,
        mx + part * (px + qx) + 2.0 * (ey - ly),
        my + part * (py + qy) - 2.0 * (ex - lx),
        re * wr - im * wi,
        re * wi + im * wr,
        crossings + enters + leaves,
        turn + cross,
        least if least < cross else cross,
    )


@folded
def _projected(x, y, z, cx, cy, cz, inverse):
    """A corner of a quad projected from a point onto the lens plane, in units of the radius."""
    scale = inverse / (z - cz)
    return (cx * z - x * cz) * scale, (cy * z - y * cz) * scale


@folded
def _seen_part(area, mx, my, re, im, crossings, turn, least):
    """Share of the lens that a point sees, and its centroid in units of the lens radius.

    The arguments are twice the area of the triangles, in squares of the lens radius; six times
    their moments and three times those of the sectors, in x and in y; real and imaginary part as
    in `disc.arcs`; how often edges cross the rim; twice the projected quad's area, below zero
    behind the quad; twice the least area of the triangles from the lens centre to its edges, below
    zero if that is outside.
    """
    crossed = crossings > 0.0
    area += angle_of(re, im) if crossed else 0.0
    some = (turn > 0.0) & (area > 2e-12)
    # No edge comes near: the lens is seen whole, or not at all.
    whole = (turn > 0.0) & (not crossed) & (area == 0.0) & (least >= 0.0)
    part = area / (2.0 * math.pi)
    part = part if part < 1.0 else 1.0
    inverse = 1.0 / (3.0 * (area if some else 1.0))
    mx, my = mx * inverse, my * inverse
    part = part if some else 0.0
    return (1.0 if whole else part), (mx if some else 0.0), (my if some else 0.0)


@folded
def _seen_through(ax, ay, bx, by, cx, cy, dx, dy):
    """Share of the lens that is seen through a projected quad, and its centroid."""
    # Both edges of a corner find it on the same side of the rim, so entries and exits match.
    a, b = ax * ax + ay * ay > 1.0, bx * bx + by * by > 1.0
    c, d = cx * cx + cy * cy > 1.0, dx * dx + dy * dy > 1.0
    s = _edge(ax, ay, a, bx, by, b, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1e300)
    s = _edge(bx, by, b, cx, cy, c, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
    s = _edge(cx, cy, c, dx, dy, d, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
    s = _edge(dx, dy, d, ax, ay, a, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
    return _seen_part(s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])


@folded
def quad_of(corners):
    """The twelve numbers of a quad's corners, (3, 4) float, read before a loop and not in it."""
    c = corners
    return (
        (c[0, 0], c[1, 0], c[2, 0]),
        (c[0, 1], c[1, 1], c[2, 1]),
        (c[0, 2], c[1, 2], c[2, 2]),
        (c[0, 3], c[1, 3], c[2, 3]),
    )


@folded
def _projected_quad(x, y, z, quad, inverse):
    """All corners of a quad projected: eight numbers."""
    p, q, r, s = quad
    ax, ay = _projected(x, y, z, p[0], p[1], p[2], inverse)
    bx, by = _projected(x, y, z, q[0], q[1], q[2], inverse)
    cx, cy = _projected(x, y, z, r[0], r[1], r[2], inverse)
    dx, dy = _projected(x, y, z, s[0], s[1], s[2], inverse)
    return ax, ay, bx, by, cx, cy, dx, dy


@folded
def seen_of_lens(x, y, z, quad, inverse):
    """Share of a lens that a point (x, y, z) sees through a quad, and its centroid.

    All in the lens frame, m; the centroid in units of the radius. quad: of `quad_of`; inverse: 1
    over the radius. The point must lie farther along the axis than all corners.
    """
    ax, ay, bx, by, cx, cy, dx, dy = _projected_quad(x, y, z, quad, inverse)
    return _seen_through(ax, ay, bx, by, cx, cy, dx, dy)


@folded
def _seen_of_sphere(x, y, z, quad, inverse):
    """The same of a small sphere: what is projected is drawn in, see `outlook`."""
    ax, ay, bx, by, cx, cy, dx, dy = _projected_quad(x, y, z, quad, inverse)
    draw = drawn_in(1.0, x, y, z)
    a, b = draw * (ax * x + ay * y), draw * (bx * x + by * y)
    e, f = draw * (cx * x + cy * y), draw * (dx * x + dy * y)
    ax, ay, bx, by = ax - a * x, ay - a * y, bx - b * x, by - b * y
    cx, cy, dx, dy = cx - e * x, cy - e * y, dx - f * x, dy - f * y
    part, sx, sy = _seen_through(ax, ay, bx, by, cx, cy, dx, dy)
    draw = drawn_out(1.0, x, y, z) * (sx * x + sy * y)
    return part, sx + draw * x, sy + draw * y


@folded
def _note(work, t, seen, radius, least):
    """Rows 6 to 10 of point t, from what it sees of a lens: share and centroid.

    least: where points are too near to the lens, along the axis. See `illuminance.from_lens_part`.
    """
    part, sx, sy = seen
    z = work[2, t]
    lx, ly = work[0, t] - sx * radius, work[1, t] - sy * radius
    inverse = 1.0 / math.sqrt(lx * lx + ly * ly + z * z)
    incidence = -(work[3, t] * lx + work[4, t] * ly + work[5, t] * z) * inverse
    versed = 0.5 * (1.0 - z * inverse)
    each = part * inverse * inverse
    work[6, t], work[7, t] = lx, ly
    work[8, t] = math.sqrt(versed if versed > 0.0 else 0.0)
    work[9, t] = each * radius * radius
    work[10, t] = each * incidence if (incidence > 0.0) & (z > least) else 0.0


@kernel
def _least(corners):
    """How far along the axis of the lens a point must be to lie beyond all corners, m."""
    return (1.0 + 1e-9) * max(max(corners[2, 0], corners[2, 1]), max(corners[2, 2], corners[2, 3]))


@contracted
def _look_at_lens(work, number, corners, radius):
    """Rows 6 to 10 of a lens."""
    quad, inverse, least = quad_of(corners), 1.0 / radius, _least(corners)
    for t in range(number):
        seen = seen_of_lens(work[0, t], work[1, t], work[2, t], quad, inverse)
        _note(work, t, seen, radius, least)


@contracted
def _look_at_sphere(work, number, corners, radius):
    """The same of a small sphere."""
    quad, inverse, least = quad_of(corners), 1.0 / radius, _least(corners)
    for t in range(number):
        seen = _seen_of_sphere(work[0, t], work[1, t], work[2, t], quad, inverse)
        _note(work, t, seen, radius, least)


@contracted
def _round_light(work, number, table, spread, sine_end, share):
    """Illuminance of a lamp whose beam is round; see `candela.looked_up`."""
    sine, disc, weight, lux = work[8], work[9], work[10], work[LUX]
    even, bent, one = table[0], spread[0], np.uint64(1)
    last = table.shape[1] - 1
    scale = last / sine_end
    for t in range(number):
        place = sine[t] * scale
        # What is not a number is no light.
        inside = (place >= 0.0) & (place < last)
        place = place if inside else 0.0
        whole = np.uint32(place)
        u, column = place - whole, np.uint64(whole)
        low, high = even[column], even[column + one]
        low_spread, high_spread = bent[column], bent[column + one]
        value = low + u * (high - low) + disc[t] * (low_spread + u * (high_spread - low_spread))
        lit = inside & (value > 0.0) & (weight[t] > 0.0)
        lux[t] = share * weight[t] * value if lit else 0.0


@kernel
def illuminate(work, points, chosen, number, apex, frame, corners, lamps, lamp, share):
    """Illuminance of a quad at chosen points, lx, into the first `number` places of row LUX.

    points: (7 or more, p) float, m, points in rows 0 to 2 and unit normals in rows 4 to 6, in the
    room's frame; chosen: (number or more,) int, which of them. apex (3,), frame (3, 3): of the
    (mirrored) lens; corners: (3, 4) float, m, as in WindowQuads; share: what the mirrors of
    the chain leave. Points that are not beyond all corners, along the axis of the lens, get no
    light.
    """
    radius = max(lamps.lens_radius[lamp], SMALLEST_LENS)
    table, spread, end = lamps.candela[lamp], lamps.spread[lamp], lamps.sine_end[lamp]
    # Whole steps of the processor: what comes out beyond `number` is nobody's.
    rounded = (number + STEP - 1) // STEP * STEP
    _into_frame(work, points, chosen, number, apex, frame)
    if lamps.sphere[lamp] > 0.0:
        _look_at_sphere(work, rounded, corners, radius)
    else:
        _look_at_lens(work, rounded, corners, radius)
    if lamps.planes[lamp] == 1:
        _round_light(work, rounded, table, spread, end, share)
        return
    for t in range(number):
        work[LUX, t] = 0.0
        if work[10, t] > 0.0:
            candela = looked_up(
                table,
                spread,
                lamps.planes[lamp],
                end,
                work[6, t],
                work[7, t],
                work[8, t],
                work[9, t],
            )
            work[LUX, t] = share * work[10, t] * candela
